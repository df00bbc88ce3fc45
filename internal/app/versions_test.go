package app_test

import (
	"testing"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/writing"
)

func TestMoveKeepsUnchangedPlacements(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	v := s.Publish(t, fixture.WashingHands())
	if _, err := s.app.Assign(t.Context(), s.Lead, app.NewForm(), s.Home.Learner, app.AssignInput{Program: v.ProgramID.String()}); err != nil {
		t.Fatal(err)
	}
	learners := func() []newel.ProgramLearner {
		t.Helper()
		p, err := s.app.Versions(t.Context(), s.Lead, v.ProgramID)
		if err != nil || len(p.Learners) != 1 {
			t.Fatalf("%+v, %v", p, err)
		}
		return p.Learners
	}
	publish := func(field, text string) {
		t.Helper()
		if _, err := s.app.BeginDraft(t.Context(), s.Lead, app.NewForm(), v.ProgramID); err != nil {
			t.Fatal(err)
		}
		_, err := s.app.Publish(t.Context(), s.Lead, app.NewForm(), v.ProgramID, app.DraftInput{
			Rev: 1, Confirmed: "read", Sheet: program.Sheet{Fields: map[string]string{field: text}},
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	move := func() app.MoveView {
		t.Helper()
		id := learners()[0].AssignmentID
		m, err := s.app.MoveForm(t.Context(), s.Lead, id)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.app.Move(t.Context(), s.Lead, app.NewForm(), id, m.After, "plainer words"); err != nil {
			t.Fatal(err)
		}
		return m
	}
	first := learners()[0]
	publish("purpose", "Clean hands before food, without being asked.")
	if m := move(); len(m.Stays) != 1 || m.Stays[0].PhaseLine || m.From != 1 || m.To != 2 {
		t.Errorf("said: %+v", m)
	}
	if now := learners()[0]; now.PlacementID != first.PlacementID || now.Number != 2 {
		t.Errorf("another purpose: %+v", now)
	}
	publish(program.StepField(first.StepKey, "criterion"), "100% independent in 4 sessions in a row")
	if m := move(); len(m.Stays) != 1 || !m.Stays[0].PhaseLine {
		t.Errorf("said: %+v", m)
	}
	if now := learners()[0]; now.PlacementID == first.PlacementID || now.Number != 3 || now.StepKey != first.StepKey {
		t.Errorf("another criterion: %+v", now)
	}
}

// Moving a learner from the program's versions and revising from the caseload
// have the same effect, for every role.
func TestMoveAndReviseHaveTheSameEffect(t *testing.T) {
	t.Parallel()
	for name, do := range map[string]func(s *schoolhouse, at newel.PlacementID, id newel.AssignmentID) error{
		"moved": func(s *schoolhouse, _ newel.PlacementID, id newel.AssignmentID) error {
			m, err := s.app.MoveForm(t.Context(), s.Supervisor, id)
			if err == nil {
				_, err = s.app.Move(t.Context(), s.Supervisor, app.NewForm(), id, m.After, "smaller cups")
			}
			return err
		},
		"decided": func(s *schoolhouse, at newel.PlacementID, _ newel.AssignmentID) error {
			_, err := s.app.Decide(t.Context(), s.Supervisor, app.NewForm(), at, app.DecisionInput{Kind: newel.DecisionRevise, Reason: "smaller cups"})
			return err
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSchoolhouse(t)
			first := s.assigned(t, fixture.WhichCup())["f1"]
			if err := s.decide(t, s.Supervisor, first, app.DecisionInput{Kind: newel.DecisionAdvance, Reason: "goes well"}); err != nil {
				t.Fatal(err)
			}
			before := s.open(t)
			p, err := s.app.Progress(t.Context(), s.Supervisor, before["f2"])
			if err != nil || len(before) != 2 {
				t.Fatalf("%v, %v", before, err)
			}
			if _, err := s.app.BeginDraft(t.Context(), s.Lead, app.NewForm(), p.Version.ProgramID); err != nil {
				t.Fatal(err)
			}
			if _, err := s.app.Publish(t.Context(), s.Lead, app.NewForm(), p.Version.ProgramID, app.DraftInput{
				Rev: 1, Confirmed: "read", Sheet: program.Sheet{Fields: map[string]string{program.StepField("f2", "criterion"): "100% in 4 sessions in a row"}},
			}); err != nil {
				t.Fatal(err)
			}
			if err := do(s, before["f2"], p.Assignment.ID); err != nil {
				t.Fatal(err)
			}
			after := s.open(t)
			if after["f2"] == before["f2"] || after["h1"] != before["h1"] || len(after) != 2 {
				t.Errorf("before %v, after %v", before, after)
			}
			p, err = s.app.Progress(t.Context(), s.Supervisor, after["h1"])
			if err != nil || p.Version.Number != 2 || len(p.Decisions) != 2 || p.Decisions[0].Reason != "smaller cups" || *p.Decisions[0].NextPlacement != after["f2"] {
				t.Errorf("%+v, %v", p.Decisions, err)
			}
		})
	}
}

// Changes for one learner move along to another version, and the new placement
// is judged by them.
func TestOverridesSurviveAMove(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	v := s.Publish(t, fixture.WashingHands())
	if _, err := s.app.Assign(t.Context(), s.Lead, app.NewForm(), s.Home.Learner, app.AssignInput{Program: v.ProgramID.String()}); err != nil {
		t.Fatal(err)
	}
	const own = "90% independent in 2 sessions in a row"
	s.Exec(t, `update assignment set overrides = '{"b1": {"say": "Rami, towel", "criterion": "`+own+`"}, "gone": {"say": "x"}}'`, nil)
	if _, err := s.app.BeginDraft(t.Context(), s.Lead, app.NewForm(), v.ProgramID); err != nil {
		t.Fatal(err)
	}
	_, err := s.app.Publish(t.Context(), s.Lead, app.NewForm(), v.ProgramID, app.DraftInput{
		Rev: 1, Confirmed: "read", Sheet: program.Sheet{Fields: map[string]string{"help_rule": "Show, and wait.", program.StepField("b1", "criterion"): "100% in 4 sessions in a row"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	before, err := s.app.Versions(t.Context(), s.Lead, v.ProgramID)
	if err != nil || len(before.Learners) != 1 {
		t.Fatalf("%+v, %v", before.Learners, err)
	}
	m, err := s.app.MoveForm(t.Context(), s.Lead, before.Learners[0].AssignmentID)
	if err != nil || len(m.Overrides) != 2 {
		t.Fatalf("said: %+v, %v", m.Overrides, err)
	}
	if _, err := s.app.Move(t.Context(), s.Lead, app.NewForm(), m.Assignment.ID, m.After, "another way of helping"); err != nil {
		t.Fatal(err)
	}
	after, err := s.app.Versions(t.Context(), s.Lead, v.ProgramID)
	if err != nil || len(after.Learners) != 1 || after.Learners[0].Number != 2 || after.Learners[0].PlacementID == before.Learners[0].PlacementID {
		t.Fatalf("moved: %+v, %v", after.Learners, err)
	}
	c, err := s.app.LearnerCopy(t.Context(), s.Lead, after.Learners[0].PlacementID)
	if err != nil || c.Version.Number != 2 || len(c.Assignment.Overrides) != 2 || c.Placement.Criterion != own {
		t.Errorf("%+v judged by %q, %v", c.Assignment.Overrides, c.Placement.Criterion, err)
	}
}

func TestLadderIsInsertedAfterAStep(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	key := firstStep(v.Draft.Document)
	in := writing.LadderInput{Strand: v.Draft.Document.Strands[0].Key, After: key, Kind: "backward", Lines: "tap on\nrinse\ntowel", Letter: "B"}
	made, err := s.app.Ladder(t.Context(), s.Trainee, id, in)
	if err != nil || len(made.Steps) != 3 {
		t.Fatalf("%d steps, %v", len(made.Steps), err)
	}
	if _, err := s.app.InsertLadder(t.Context(), s.Trainee, app.NewForm(), id, in); err != nil {
		t.Fatal(err)
	}
	after, err := s.app.Draft(t.Context(), s.Trainee, id)
	if err != nil {
		t.Fatal(err)
	}
	steps := after.Draft.Document.Strands[0].Steps
	if len(steps) != 4 || steps[0].Key != key || steps[1].Name != "towel" || steps[1].Label != "B1" {
		t.Errorf("%+v", steps)
	}
	in.Lines, in.Kind = "five", "rising"
	if _, err := s.app.InsertLadder(t.Context(), s.Trainee, app.NewForm(), id, in); len(problemKeys(err)) != 1 {
		t.Errorf("err = %v", err)
	}
}
