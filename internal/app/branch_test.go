package app_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
)

func thin(labels ...string) []app.SmallerStep {
	steps := make([]app.SmallerStep, len(labels))
	for i, l := range labels {
		steps[i] = app.SmallerStep{Label: l, Name: "Part " + l}
	}
	return steps
}

// Splitting a step for one learner changes no one else's program, keeps what
// was met, and teaching continues from there.
func TestBranch(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	d := fixture.WashingHands()
	d.Difficulties = []program.Difficulty{{Text: "splashes", Steps: []string{"b1", "b2"}}}
	first := s.assigned(t, d)["b1"]
	if err := s.decide(t, s.Supervisor, first, app.DecisionInput{Kind: newel.DecisionAdvance, Reason: "seen in the call"}); err != nil {
		t.Fatal(err)
	}
	s.now = s.now.Add(time.Hour)
	second := s.open(t)["b2"]
	steps := append([]app.SmallerStep{{}}, thin("B2a", "B2b")...)
	steps[2].Criterion = "100% in 2 sessions in a row"
	if err := s.decide(t, s.Supervisor, second, app.DecisionInput{Kind: newel.DecisionBranch, Reason: "one hand at a time", Steps: steps}); err != nil {
		t.Fatal(err)
	}
	var at newel.PlacementID
	for key, id := range s.open(t) {
		if key == "b1" || key == "b2" || key == "b3" {
			t.Fatalf("current step is %s", key)
		}
		at = id
	}
	p, err := s.app.Progress(t.Context(), s.Supervisor, at)
	if err != nil {
		t.Fatal(err)
	}
	var labels []string
	for _, step := range p.Version.Document.Strands[0].Steps {
		labels = append(labels, step.Label)
	}
	if diff := cmp.Diff([]string{"B1", "B2a", "B2b", "B3"}, labels); diff != "" {
		t.Error(diff)
	}
	if p.Step.Label != "B2a" || !p.Met["b1"] || !p.Version.Own || p.Version.Number != 1 || !p.Row.Own {
		t.Errorf("at %s, climbed %v, own %v", p.Step.Label, p.Met, p.Version.Own)
	}
	if len(p.Version.Document.Difficulties[0].Steps) != 3 {
		t.Errorf("the difficulty names %v", p.Version.Document.Difficulties[0].Steps)
	}
	// The library is unchanged, and so is what the next learner gets.
	v, err := s.app.Program(t.Context(), s.Supervisor, p.Version.ProgramID)
	if err != nil || len(v.Versions) != 1 || len(v.Version.Document.Strands[0].Steps) != 3 {
		t.Errorf("library: %+v, %v", v.Versions, err)
	}
	// The last of the smaller steps is followed by the next step.
	for _, want := range []string{"B2b", "B3"} {
		s.now = s.now.Add(time.Hour)
		for _, id := range s.open(t) {
			if err := s.decide(t, s.Supervisor, id, app.DecisionInput{Kind: newel.DecisionAdvance, Reason: "seen"}); err != nil {
				t.Fatal(err)
			}
		}
		for _, id := range s.open(t) {
			if p, err = s.app.Progress(t.Context(), s.Supervisor, id); err != nil || p.Step.Label != want {
				t.Errorf("at %s, want %s: %v", p.Step.Label, want, err)
			}
		}
	}
	// Another family's supervisor finds neither the placement nor the smaller
	// steps.
	neighbour := s.Account(t, "Nadia Orr", newel.Supervisor)
	s.LookAfter(t, &neighbour, s.NextDoor.ID)
	if _, err := s.app.Progress(t.Context(), neighbour, at); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("neighbour: %v", err)
	}
}

func TestInvalidBranchIsRefused(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	twice := thin("B1a", "B1a")
	odd := thin("B1a", "B1b")
	odd[1].Criterion, odd[0].Name = "very often", ""
	for name, c := range map[string]struct {
		steps []app.SmallerStep
		want  []string
	}{
		"one only":              {thin("B1a"), []string{"thin decide.branch_two"}},
		"none":                  {nil, []string{"thin decide.branch_two"}},
		"twice":                 {twice, []string{"thin.1.label program.label_twice"}},
		"label of another step": {thin("B2", "B1b"), []string{"thin program.label_twice"}},
		"incomplete":            {odd, []string{"thin.0.name field.required"}},
		"much too long":         {thin(strings.Repeat("B", 13), "B1b"), []string{"thin.0.label field.too_long"}},
	} {
		err := s.decide(t, s.Supervisor, first, app.DecisionInput{Kind: newel.DecisionBranch, Reason: "x", Steps: c.steps})
		keys := problemKeys(err)
		for _, want := range c.want {
			found := false
			for _, k := range keys {
				found = found || k == want
			}
			if !found {
				t.Errorf("%s: %v lacks %s", name, keys, want)
			}
		}
		if err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
	if n := s.count(t, `select count(*) from branch where clinic_id = @clinic`, nil); n != 0 || len(s.open(t)) != 1 {
		t.Errorf("%d branches", n)
	}
}

// Revising starts a draft. Once it is published, the learner is taught by it
// from the same step on.
func TestRevise(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	before, err := s.app.Progress(t.Context(), s.Supervisor, first)
	if err != nil {
		t.Fatal(err)
	}
	program := before.Version.ProgramID
	to, err := s.app.Decide(t.Context(), s.Supervisor, app.NewForm(), first, app.DecisionInput{Kind: newel.DecisionRevise, Reason: "other soap"})
	if err != nil || !strings.HasPrefix(to, "/programs/"+program.String()+"/draft") {
		t.Fatalf("to %q, %v", to, err)
	}
	if s.open(t)["b1"] != first {
		t.Fatal("the placement should stay open meanwhile")
	}
	d := fixture.WashingHands()
	d.Cautions = "Fragrance-free soap."
	next := s.Revise(t, program, 2, d).ID
	c, err := s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{})
	if err != nil || len(c.Groups) != 1 || c.Groups[0].Group != reading.GroupAgain || !reading.Revised(c.Groups[0].Items[0].CaseloadRow) {
		t.Fatalf("%+v, %v", c.Groups, err)
	}
	s.now = s.now.Add(time.Hour)
	in2 := app.DecisionInput{Kind: newel.DecisionRevise, After: c.Groups[0].Items[0].LatestDecision()}
	if err := s.decide(t, s.Supervisor, first, in2); err != nil {
		t.Fatal(err)
	}
	// Another caution does not change how the step is taught and judged, so the
	// placement stays open.
	after, err := s.app.Progress(t.Context(), s.Supervisor, s.open(t)["b1"])
	if err != nil || after.Version.ID != next || after.Placement.ID != first || after.Version.Document.Cautions != d.Cautions || len(after.Decisions) != 2 {
		t.Errorf("taught by %v, %v", after.Version.Number, err)
	}
	if c, err = s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{}); err != nil || c.Asking() != 0 {
		t.Errorf("%+v, %v", c.Groups, err)
	}
}

func TestSeenTogether(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	one := s.assigned(t, fixture.WashingHands())["b1"]
	two := s.assigned(t, fixture.WhichCup())["f1"]
	if err := s.decide(t, s.Lead, two, app.DecisionInput{Kind: newel.DecisionHold, Reason: "wait"}); err != nil {
		t.Fatal(err)
	}
	form, rows := app.NewForm(), []app.SeenRow{{Placement: two}, {Placement: one}, {Placement: one}}
	to, err := s.app.SeenTogether(t.Context(), s.Supervisor, form, rows)
	if err != nil || to != "/caseload?seen=1&left=1" {
		t.Fatalf("to %q, %v", to, err)
	}
	if again, err := s.app.SeenTogether(t.Context(), s.Supervisor, form, rows); err != nil || again != to {
		t.Errorf("again: %q, %v", again, err)
	}
	if n := s.count(t, `select count(*) from decision where clinic_id = @clinic`, nil); n != 2 {
		t.Errorf("%d decisions", n)
	}
	s.Exec(t, `update assignment set state = 'resting' where clinic_id = @clinic`, nil)
	var after string
	if p, err := s.app.Progress(t.Context(), s.Supervisor, one); err == nil {
		after = p.Latest()
	}
	if to, err = s.app.SeenTogether(t.Context(), s.Supervisor, app.NewForm(), []app.SeenRow{{Placement: one, After: after}}); err != nil || to != "/caseload?seen=0&left=1" {
		t.Errorf("a child's no needs its own decision: %q, %v", to, err)
	}
	if _, err := s.app.SeenTogether(t.Context(), s.Supervisor, app.NewForm(), nil); problemKeys(err) == nil {
		t.Errorf("nothing ticked: %v", err)
	}
	neighbour := s.Account(t, "Nadia Orr", newel.Supervisor)
	s.LookAfter(t, &neighbour, s.NextDoor.ID)
	if _, err := s.app.SeenTogether(t.Context(), neighbour, app.NewForm(), rows); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("neighbour: %v", err)
	}
}

func TestQuestionsToAFamily(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	one := s.assigned(t, fixture.WashingHands())["b1"]
	if _, err := s.app.Ask(t.Context(), s.Supervisor, app.NewForm(), one, "  "); problemKeys(err) == nil {
		t.Errorf("empty: %v", err)
	}
	if _, err := s.app.Ask(t.Context(), s.Home.Caregiver, app.NewForm(), one, "Why?"); !errors.Is(err, newel.ErrForbidden) {
		t.Errorf("caregiver asks: %v", err)
	}
	if _, err := s.app.Ask(t.Context(), s.Supervisor, app.NewForm(), one, "What does he like best?"); err != nil {
		t.Fatal(err)
	}
	if list, err := s.app.OpenQuestions(t.Context(), s.NextDoor.Caregiver); err != nil || len(list) != 0 {
		t.Errorf("next door: %+v, %v", list, err)
	}
	waiting := func(actor newel.Actor, want int) {
		t.Helper()
		if day, err := s.app.PhoneDay(t.Context(), actor, app.PhoneReport{}); err != nil || day.Questions != want {
			t.Errorf("the day has %d questions, %v; want %d", day.Questions, err, want)
		}
	}
	waiting(s.Home.Caregiver, 1)
	waiting(s.NextDoor.Caregiver, 0)
	list, err := s.app.OpenQuestions(t.Context(), s.Home.Caregiver)
	if err != nil || len(list) != 1 || list[0].AskedByName != s.Supervisor.Name {
		t.Fatalf("%+v, %v", list, err)
	}
	if _, err := s.app.Answer(t.Context(), s.NextDoor.Caregiver, app.NewForm(), list[0].ID, "mine"); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("next door answers: %v", err)
	}
	s.now = s.now.Add(time.Hour)
	if _, err := s.app.Answer(t.Context(), s.Home.Caregiver, app.NewForm(), list[0].ID, "The blue car."); err != nil {
		t.Fatal(err)
	}
	waiting(s.Home.Caregiver, 0)
	if _, err := s.app.Answer(t.Context(), s.Home.Caregiver, app.NewForm(), list[0].ID, "No, the red one."); !errors.Is(err, newel.ErrConflict) {
		t.Errorf("twice: %v", err)
	}
	c, err := s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{})
	if err != nil || len(c.Groups) != 1 || c.Groups[0].Group != reading.GroupAnswer {
		t.Fatalf("%+v, %v", c.Groups, err)
	}
	p, err := s.app.Progress(t.Context(), s.Supervisor, one)
	if err != nil || len(p.Answered()) != 1 || p.Answered()[0].Answer != "The blue car." {
		t.Errorf("%+v, %v", p.Questions, err)
	}
	s.now = s.now.Add(time.Hour)
	if err := s.decide(t, s.Supervisor, one, app.DecisionInput{Kind: newel.DecisionSeen}); err != nil {
		t.Fatal(err)
	}
	if c, err = s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{}); err != nil || len(c.Groups) != 0 {
		t.Errorf("decided: %+v, %v", c.Groups, err)
	}
}
