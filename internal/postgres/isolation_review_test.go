package postgres_test

import (
	"context"

	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
)

// reviewDeeds are the store's methods about reviews and the actions agreed in
// them.
var reviewDeeds = map[string][]deed{
	"BeginReview": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, beginReview(ctx, tx, v.ID, v)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, beginReview(ctx, tx, v.ID, v)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, beginReview(ctx, tx, own.ID, v)
		}, mixes: true},
	},
	"Review": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Review(ctx, v.Review)
	}}},
	"Reviews": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Reviews(ctx, v.Learner)
	}}},
	"PendingForFamilies": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.PendingForFamilies(ctx)
	}}},
	"ReviewPages": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.ReviewPages(ctx, v.Learner)
	}}},
	"TurnPage": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.TurnPage(ctx, v.Review, nil)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.TurnPage(ctx, v.Review, nil)
		}},
	},
	"EndReview": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.EndReview(ctx, v.Review)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.EndReview(ctx, v.Review)
		}},
	},
	"Attend": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.Attend(ctx, v.ID, v.Review)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, tx.Attend(ctx, own.ID, v.Review)
		}, mixes: true},
	},
	"AddAction": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addAction(ctx, tx, v.ID, v)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addAction(ctx, tx, v.ID, v)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addAction(ctx, tx, own.ID, v)
		}, mixes: true},
	},
	"Actions": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Actions(ctx, v.Learner)
	}}},
	"OpenActions": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.OpenActions(ctx, newel.OwnedByFamily)
	}}},
	"Action": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Action(ctx, v.Action)
	}}},
	"SettleAction": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.SettleAction(ctx, v.Action, newel.ActionDone)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.SettleAction(ctx, v.ClinicAction, newel.ActionDone)
		}},
	},
}

func beginReview(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, v victim) error {
	return tx.BeginReview(ctx, newel.Review{ID: fresh[newel.ReviewID](), FamilyID: f, LearnerID: v.Learner})
}

func addAction(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, v victim) error {
	return tx.AddAction(ctx, newel.Action{
		ID: fresh[newel.ActionID](), FamilyID: f, LearnerID: v.Learner, ReviewID: v.Review, Text: "taken", Whose: newel.OwnedByFamily,
	})
}
