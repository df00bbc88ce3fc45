package postgres_test

import (
	"context"

	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
)

var skillDeeds = map[string][]deed{
	"AddSkill": {{of: theStaff, adds: addsOwn, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return nil, tx.AddSkill(ctx, newel.Skill{ID: fresh[newel.SkillID](), Name: "New"})
	}}},
	"Skills": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.Skills(ctx)
	}}},
	"Skill": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Skill(ctx, v.Skill)
	}}},
	"ChangeSkill": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.ChangeSkill(ctx, v.Skill, "Taken", "")
	}}},
	"ArchiveSkill": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.ArchiveSkill(ctx, v.Skill, true)
	}}},
	"ShelfSkills": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.ShelfSkills(ctx)
	}}},
	"AddSkillNote": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addSkillNote(ctx, tx, v.ID, v)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addSkillNote(ctx, tx, v.ID, v)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addSkillNote(ctx, tx, own.ID, v)
		}, mixes: true},
	},
	"SkillNotes": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.SkillNotes(ctx, v.Learner)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.SkillNotes(ctx, v.Learner)
		}},
	},
	"NotesOfSkill": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.NotesOfSkill(ctx, v.Skill)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.NotesOfSkill(ctx, v.Skill)
		}},
	},
	"MetSteps": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.MetSteps(ctx, v.Learner)
	}}},
}

func addSkillNote(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, v victim) error {
	return tx.AddSkillNote(ctx, newel.SkillNote{
		ID: fresh[newel.SkillNoteID](), FamilyID: f, LearnerID: v.Learner, SkillID: v.Skill, Status: newel.SkillAcquired,
		NotedOn: newel.NewDay(2026, 3, 1), PlacementID: &v.Past,
	})
}
