package program

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/newel"
)

func TestReadHelpLevels(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, text string
		want       []HelpLevel
		problem    string
	}{
		{"in order", "point\n\n  say \nlight touch (touch)\n", []HelpLevel{{Name: "point"}, {Name: "say"}, {Name: "light touch", Touch: true}}, ""},
		{"none", " \n", nil, "field.required"},
		{"twice", "point\nPoint", []HelpLevel{{Name: "point"}, {Name: "Point"}}, "program.help_twice"},
		{"only the mark", "(touch)", []HelpLevel{{Touch: true}}, "field.required"},
		{"six", "a\nb\nc\nd\ne\nf", []HelpLevel{{Name: "a"}, {Name: "b"}, {Name: "c"}, {Name: "d"}, {Name: "e"}, {Name: "f"}}, "helpscale.too_many"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var e newel.Invalid
			got := ReadHelpLevels("levels", c.text, &e)
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Error(diff)
			}
			var invalid *newel.Invalid
			switch err := e.OrNil(); {
			case c.problem == "" && err != nil:
				t.Error(err)
			case c.problem != "" && (!errors.As(err, &invalid) || invalid.Problems[0].Key != c.problem || invalid.Problems[0].Field != "levels"):
				t.Errorf("%v, want %s", err, c.problem)
			}
			if again := ReadHelpLevels("levels", HelpScale{Levels: got}.Text(), &e); c.problem == "" && !cmp.Equal(again, got) {
				t.Errorf("round trip: %v", again)
			}
		})
	}
}
