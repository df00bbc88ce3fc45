package postgres_test

import (
	"context"
	"encoding/json"
	"time"

	"github.com/google/uuid"

	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
	"newel/internal/program"
)

var teachingDeeds = map[string][]deed{
	"AddPlacement": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addPlacement(ctx, tx, v.ID, v)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addPlacement(ctx, tx, own.ID, v)
		}, mixes: true},
	},
	"Placement": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Placement(ctx, v.Placement)
	}}},
	"Placements": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Placements(ctx, v.Assignment)
	}}},
	"EndPlacement": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.EndPlacement(ctx, v.Placement)
	}}},
	"LockPlacement": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.LockPlacement(ctx, v.Placement)
	}}},
	"AssignmentSessions": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.AssignmentSessions(ctx, v.Assignment, 10)
	}}},
	"LearnerSessions": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.LearnerSessions(ctx, v.Learner, newel.NewDay(2000, 1, 1), 10)
	}}},
	"PastStays": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.PastStays(ctx, v.Program, v.StepOne, nil, 10)
	}}},
	"AssignmentReadings": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.AssignmentReadings(ctx, v.Assignment)
	}}},
	"CaseloadRow": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.CaseloadRow(ctx, v.Placement)
	}}},
	"CaseloadDetails": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.CaseloadDetails(ctx, []newel.PlacementID{v.Placement})
	}}},
	"CaseloadContext": {{blank: true, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.CaseloadContext(ctx)
	}}},
	"RuleDue": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.RuleDue(ctx, 100)
	}}},
	"CaseloadRows": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.CaseloadRows(ctx)
	}}},
	"AddDecision": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addDecision(ctx, tx, v.ID, v.Placement, nil)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addDecision(ctx, tx, own.ID, v.Placement, nil)
		}, mixes: true},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addDecision(ctx, tx, own.ID, own.Placement, &v.Placement)
		}, mixes: true},
	},
	"Decisions": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Decisions(ctx, v.Assignment)
	}}},
	"AddVerdict": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addVerdict(ctx, tx, v.ID, v)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addVerdict(ctx, tx, v.ID, v)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addVerdict(ctx, tx, own.ID, v)
		}, mixes: true},
	},
	"Verdicts": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.Verdicts(ctx, v.Assignment)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.Verdicts(ctx, v.Assignment)
		}},
	},
	"AddFidelity": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addFidelity(ctx, tx, v.ID, v)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addFidelity(ctx, tx, v.ID, v)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addFidelity(ctx, tx, own.ID, v)
		}, mixes: true},
	},
	"Fidelity": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.Fidelity(ctx, v.Assignment)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.Fidelity(ctx, v.Assignment)
		}},
	},
	"WithdrawFidelity": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.WithdrawFidelity(ctx, v.Placement, v.Fidelity)
		}},
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.WithdrawFidelity(ctx, v.Placement, v.Fidelity)
		}},
	},
	"AddBranch": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addBranch(ctx, tx, v.ID, v)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addBranch(ctx, tx, own.ID, v)
		}, mixes: true},
	},
	"Ask": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, ask(ctx, tx, v.ID, v)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, ask(ctx, tx, own.ID, v)
		}, mixes: true},
	},
	"AnswerQuestion": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.AnswerQuestion(ctx, v.Unanswered, "taken")
	}}},
	"Questions": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Questions(ctx, v.Assignment)
	}}},
	"OpenQuestions": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.OpenQuestions(ctx)
	}}},
	"AnsweredQuestions": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.AnsweredQuestions(ctx)
	}}},
	"Question": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Question(ctx, v.Question)
	}}},
	"TaughtNow": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.TaughtNow(ctx)
	}}},
	"TaughtBesides": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.TaughtBesides(ctx)
	}}},
	"SessionsToday": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.SessionsToday(ctx)
	}}},
	"EarlyAndLate": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.EarlyAndLate(ctx)
	}}},
	"LearnedLately": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.LearnedLately(ctx)
	}}},
	"TaughtIn": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.TaughtIn(ctx, []newel.PlacementID{v.Placement, v.Past})
	}}},
	"LearnedCheck": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.LearnedCheck(ctx, v.Past)
	}}},
	"AddPlanned": {
		{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.AddPlanned(ctx, newel.PlannedSession{ID: fresh[newel.PlannedSessionID](), FamilyID: v.ID, PlacementID: v.Placement, Kind: newel.PlanProbe})
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, tx.AddPlanned(ctx, newel.PlannedSession{ID: fresh[newel.PlannedSessionID](), FamilyID: own.ID, PlacementID: v.Placement, Kind: newel.PlanProbe})
		}, mixes: true},
	},
	"Planned": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Planned(ctx, v.Placement)
	}}},
	"PlansAhead": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.PlansAhead(ctx)
	}}},
	"LearnedChecks": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.LearnedChecks(ctx)
	}}},
	"SessionTallies": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.SessionTallies(ctx, []newel.PlacementID{v.Placement})
	}}},
	"TaughtAt": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.TaughtAt(ctx, v.Placement)
	}}},

	"Facts": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Facts(ctx, v.Placement)
	}}},
	"PutReading": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.PutReading(ctx, aReading(v.ID, v.Placement))
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, tx.PutReading(ctx, aReading(own.ID, v.Placement)) // it has a reading
		}, mixes: true},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, tx.PutReading(ctx, aReading(own.ID, v.Past)) // it has none
		}, mixes: true},
	},
	"MarkStale": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.MarkStale(ctx, v.ID, v.Placement)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, tx.MarkStale(ctx, own.ID, v.Placement)
		}, mixes: true},
	},
	"Reading": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Reading(ctx, v.Placement)
	}}},
	"Readings": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.Readings(ctx, newel.PlacementID{}, 1000)
	}}},
	"AllFacts": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.AllFacts(ctx, newel.PlacementID{}, newel.PlacementID{UUID: uuid.Max})
	}}},
	"Stale": {{call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.Stale(ctx, 100)
	}}},
}

func addPlacement(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, v victim) error {
	return tx.AddPlacement(ctx, newel.Placement{
		ID: fresh[newel.PlacementID](), FamilyID: f, AssignmentID: v.Assignment, VersionID: v.Version, StepKey: v.StepOne,
		StrandKey: "another", Criterion: "80% independent in 2 sessions in a row", BeganOn: newel.NewDay(2026, 3, 9),
	})
}

func addBranch(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, v victim) error {
	b := newel.Branch{VersionID: fresh[newel.VersionID](), FamilyID: f, AssignmentID: v.Assignment, StepKey: v.StepTwo}
	return tx.AddBranch(ctx, b, program.Version{ProgramID: v.Program, Number: 1, Document: program.Blank("Taken"), Hash: "taken"})
}

func ask(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, v victim) error {
	return tx.Ask(ctx, newel.Question{ID: fresh[newel.QuestionID](), FamilyID: f, PlacementID: v.Placement, Text: "taken"})
}

func addVerdict(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, v victim) error {
	return tx.AddVerdict(ctx, newel.Verdict{ID: fresh[newel.VerdictID](), FamilyID: f, DecisionID: v.Decision, Came: newel.ExpectationMet, Line: "taken"})
}

func addFidelity(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, v victim) error {
	return tx.AddFidelity(ctx, newel.Fidelity{
		ID: fresh[newel.FidelityID](), FamilyID: f, PlacementID: v.Placement, PersonID: v.Person, TaughtOn: newel.DayOf(tenants.Now, time.UTC),
		Watched: newel.WatchedCall, Points: newel.FidelityPoints{{Text: "taken", Seen: newel.SeenDone}},
	})
}

func addDecision(ctx context.Context, tx *postgres.Tx, f newel.FamilyID, p newel.PlacementID, next *newel.PlacementID) error {
	return tx.AddDecision(ctx, newel.Decision{
		ID: fresh[newel.DecisionID](), FamilyID: f, PlacementID: p, Kind: newel.DecisionHold, NextPlacement: next, Reading: json.RawMessage(`{}`),
	})
}

func aReading(f newel.FamilyID, p newel.PlacementID) newel.Reading {
	return newel.Reading{PlacementID: p, FamilyID: f, AsOf: tenants.Now, Evaluator: 1, Status: "teaching", Body: json.RawMessage(`{}`)}
}
