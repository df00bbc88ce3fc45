package writing

import (
	"errors"
	"strings"
	"testing"

	"newel/internal/newel"
)

func TestEveryKindOfLadderReturnsSteps(t *testing.T) {
	t.Parallel()
	d := document(pattern())
	for _, kind := range LadderKinds {
		in := LadderInput{Kind: kind, After: "pattern", Lines: "5\n10\n15", Unit: "minutes", Letter: "L", From: "4"}
		if kind == "less_help" {
			in.Lines = in.DefaultLines(&d)
		}
		steps, err := in.Steps(&d)
		if err != nil || len(steps) == 0 {
			t.Errorf("%s: %d steps, %v", kind, len(steps), err)
			continue
		}
		if steps[0].Label != "L4" {
			t.Errorf("%s begins with %s", kind, steps[0].Label)
		}
	}
}

func TestUsualLines(t *testing.T) {
	t.Parallel()
	d := document(pattern())
	for kind, want := range map[string]string{"less_help": "point\nshow", "people": strings.Join(DefaultPeople, "\n"), "forward": ""} {
		if got := (LadderInput{Kind: kind}).DefaultLines(&d); got != want {
			t.Errorf("%s: %q", kind, got)
		}
	}
}

func TestInvalidLadderNamesTheField(t *testing.T) {
	t.Parallel()
	d := document(pattern())
	for name, c := range map[string]struct {
		in    LadderInput
		field string
		key   string
	}{
		"nothing typed":        {LadderInput{Kind: "forward", Lines: " \n"}, "lines", "ladder.lines"},
		"too many lines":       {LadderInput{Kind: "forward", Lines: strings.Repeat("a\n", maxRungs+1)}, "lines", "ladder.too_many"},
		"no amount":            {LadderInput{Kind: "rising", Lines: "5\nsoon"}, "lines", "ladder.amount"},
		"amount below zero":    {LadderInput{Kind: "rising", Lines: "-1"}, "lines", "ladder.amount"},
		"no such kind":         {LadderInput{Kind: "sideways", Lines: "a"}, "kind", "ladder.kind"},
		"no number":            {LadderInput{Kind: "forward", Lines: "a", From: "first"}, "from", "program.number"},
		"unreadable criterion": {LadderInput{Kind: "forward", Lines: "a", Criterion: "most of the time"}, "criterion", ""},
	} {
		_, err := c.in.Steps(&d)
		var e *newel.Invalid
		if !errors.As(err, &e) || len(e.Problems) != 1 || e.Problems[0].Field != c.field || c.key != "" && e.Problems[0].Key != c.key {
			t.Errorf("%s: %v", name, err)
		}
	}
}
