package postgres_test

import (
	"context"

	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
	"newel/internal/program"
)

var libraryDeeds = map[string][]deed{
	"AddProgram": {{of: theStaff, adds: addsOwn, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return nil, tx.AddProgram(ctx, program.Program{ID: fresh[newel.ProgramID](), Title: "New"}, program.Blank("New"))
	}}},
	"Program": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Program(ctx, v.Program)
	}}},
	"Programs": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.Programs(ctx)
	}}},
	"NameProgram": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.NameProgram(ctx, v.Program, "Taken", "")
	}}},
	"ArchiveProgram": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.ArchiveProgram(ctx, v.Program, true)
	}}},
	"AddDraft": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.AddDraft(ctx, v.C.Spare, program.Blank("Taken"))
	}}},
	"Draft": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Draft(ctx, v.Program)
	}}},
	"LockDraft": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.LockDraft(ctx, v.Program)
	}}},
	"DraftState": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.DraftState(ctx, v.Program, 1)
	}}},
	"PutDraft": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.PutDraft(ctx, v.Program, 1, program.DraftState{Document: program.Blank("Taken")})
	}}},
	"SubmitDraft": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.SubmitDraft(ctx, v.Program, true)
	}}},
	"SetPlacementVersion": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.SetPlacementVersion(ctx, v.Placement, v.Version)
	}}},
	"SetPlannedHelp": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.SetPlannedHelp(ctx, v.Placement, "show")
	}}},
	"DropDraft": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.DropDraft(ctx, v.Program)
	}}},
	"AddVersion": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.AddVersion(ctx, program.Version{
			ID: fresh[newel.VersionID](), ProgramID: v.Program, Number: 2, Document: program.Blank("Taken"), Hash: "taken",
		})
	}}},
	"Version": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Version(ctx, v.Version)
	}}},
	"VersionOf": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.VersionOf(ctx, v.Placement)
	}}},
	"LatestVersion": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.LatestVersion(ctx, v.Program)
	}}},
	"FirstSteps": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.FirstSteps(ctx)
	}}},
	"Versions": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Versions(ctx, v.Program)
	}}},
	"StepsOf": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.StepsOf(ctx, []newel.VersionID{v.Version})
	}}},
	"ProgramLearners": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.ProgramLearners(ctx, v.Program)
	}}},

	"AddAssignment": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addAssignment(ctx, tx, v.ID, v.Learner, v.C.Spare)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addAssignment(ctx, tx, own.ID, v.Learner, v.C.Spare)
		}, mixes: true},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addAssignment(ctx, tx, own.ID, v.Learner, v.Program) // does not reveal whether the learner has it
		}, mixes: true},
	},
	"Assignment": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Assignment(ctx, v.Assignment)
	}}},
	"LockAssignment": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.LockAssignment(ctx, v.Assignment)
	}}},
	"Assignments": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Assignments(ctx, v.Learner)
	}}},
	"SetOverrides": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.SetOverrides(ctx, v.Assignment, map[string]newel.StepOverride{})
	}}},
	"SetAssignmentState": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.SetAssignmentState(ctx, v.Assignment, newel.AssignmentPaused)
	}}},
}

func addAssignment(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, l newel.LearnerID, p newel.ProgramID) error {
	return tx.AddAssignment(ctx, newel.Assignment{
		ID: fresh[newel.AssignmentID](), FamilyID: f, LearnerID: l, ProgramID: p, State: newel.AssignmentActive,
	})
}
