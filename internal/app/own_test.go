package app_test

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/reading"
)

func TestSetOwn(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	step := fixture.WashingHands().Strands[0].Steps[0]
	shown := func(id newel.PlacementID) reading.Progress {
		t.Helper()
		p, err := s.app.Progress(t.Context(), s.Supervisor, id)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	set := func(id newel.PlacementID, in app.OwnInput) error {
		_, err := s.app.SetOwn(t.Context(), s.Supervisor, app.NewForm(), id, in)
		return err
	}
	for name, c := range map[string]struct {
		in   app.OwnInput
		want []string
	}{
		"no reason":              {app.OwnInput{Say: "Hands!"}, []string{"reason field.required"}},
		"nothing is different":   {app.OwnInput{Say: step.Say, Criterion: step.Criterion, Reason: "so"}, []string{"say own.nothing_changed"}},
		"not a number":           {app.OwnInput{Trials: "few", Reason: "so"}, []string{"trials own.whole"}},
		"unreadable":             {app.OwnInput{Criterion: "mostly", Reason: "so"}, []string{"criterion criterion.goal"}},
		"invalid step-back rule": {app.OwnInput{StepBack: "when sad", Reason: "so"}, []string{"step_back criterion.goal"}},
	} {
		got := problemKeys(set(first, c.in))
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
	if s.open(t)["b1"] != first {
		t.Fatal("a refused change had an effect")
	}

	// A different number of trials leaves the placement open; the decision is
	// stored.
	if err := set(first, app.OwnInput{Trials: "3", Reason: "tired by four"}); err != nil {
		t.Fatal(err)
	}
	p := shown(first)
	if s.open(t)["b1"] != first || p.Step.Trials != 3 || len(p.Decisions) != 1 || p.Decisions[0].Reason != "tired by four" {
		t.Fatalf("%+v, %+v", p.Step, p.Decisions)
	}
	// A page that has not shown this gets a conflict.
	var meanwhile *app.DecidedMeanwhile
	if err := set(first, app.OwnInput{Say: "Hands!", Reason: "short"}); !errors.As(err, &meanwhile) {
		t.Fatal("an older page overrules a newer decision:", err)
	}
	// A different criterion starts the step over; the texts move along.
	in := app.OwnInput{Say: "Hands!", Trials: "3", Criterion: "80% independent in 2 sessions in a row", Reason: "shorter words", After: p.Latest()}
	if err := set(first, in); err != nil {
		t.Fatal(err)
	}
	second := s.open(t)["b1"]
	p = shown(second)
	if second == first || p.Placement.Criterion != in.Criterion || p.Step.Say != "Hands!" || shown(first).Open() {
		t.Errorf("%+v", p.Placement)
	}
	// Emptied fields get the program's values again.
	if err := set(second, app.OwnInput{Reason: "no longer needed", After: p.Latest()}); err != nil {
		t.Fatal(err)
	}
	p = shown(s.open(t)["b1"])
	if diff := cmp.Diff(map[string]newel.StepOverride{}, p.Assignment.Overrides); diff != "" || p.Step.Say != step.Say || p.Step.Trials != step.Trials {
		t.Errorf("%s %+v", diff, p.Step)
	}
	if _, err := s.app.SetOwn(t.Context(), s.Trainee, app.NewForm(), p.Placement.ID, in); !errors.Is(err, newel.ErrForbidden) && !errors.Is(err, newel.ErrNotFound) {
		t.Error("a trainee may decide:", err)
	}
}
