package postgres_test

import (
	"context"

	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
)

// incidentDeeds are the store's methods about incidents.
var incidentDeeds = map[string][]deed{
	"AddIncident": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addIncident(ctx, tx, v.ID, v)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addIncident(ctx, tx, own.ID, v)
		}, mixes: true},
	},
	"Incidents": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Incidents(ctx, v.Learner)
	}}},
	"OpenIncidents": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.OpenIncidents(ctx)
	}}},
	"Incident": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Incident(ctx, v.Incident)
	}}},
	"AddIncidentNote": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.AddIncidentNote(ctx, v.ID, v.Incident, "taken")
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, tx.AddIncidentNote(ctx, own.ID, v.Incident, "taken")
		}, mixes: true},
	},
	"SettleIncident": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.SettleIncident(ctx, v.Incident)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.SettleIncident(ctx, v.Incident)
		}},
	},
}

func addIncident(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, v victim) error {
	return tx.AddIncident(ctx, newel.Incident{ID: fresh[newel.IncidentID](), FamilyID: f, LearnerID: v.Learner, HappenedOn: newel.NewDay(2026, 3, 1), Saw: "taken"})
}
