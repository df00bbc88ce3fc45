package chart

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

var near = cmpopts.EquateApprox(0, 0.001)

// stairs returns n steps: those before at (from 1) mastered, at itself current,
// and help planned on the first few.
func stairs(n, at, help int) []Step {
	steps := make([]Step, n)
	for i := range steps {
		switch {
		case i+1 < at:
			steps[i].State = Met
		case i+1 == at:
			steps[i].State = Current
		}
		steps[i].Help = i < help
	}
	return steps
}

// The numbers are from the drawing set's sheet for nine steps with the fifth
// current.
func TestSmallFifthOfNine(t *testing.T) {
	t.Parallel()
	s := SmallStairway(Breakdown{First: stairs(9, 5, 0)})
	if s.Width != 58 || s.Height != 24 {
		t.Errorf("box: got %v × %v, want 58 × 24", s.Width, s.Height)
	}
	wantClimbed := []Rect{{1, 20.5, 6.3, 2.5}, {7, 18.5, 6.3, 4.5}, {13, 17, 6.3, 6}, {19, 15.5, 6.3, 7.5}}
	if diff := cmp.Diff(wantClimbed, s.Met, near); diff != "" {
		t.Errorf("climbed (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]Rect{{25, 13.5, 6, 9.5}}, s.Well, near); diff != "" {
		t.Errorf("well (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]Rect{{25, 12.5, 6, 2.5}}, s.Treads, near); diff != "" {
		t.Errorf("tread (-want +got):\n%s", diff)
	}
	want := []Newel{{Shaft: Rect{26.5, 7.5, 3, 6}, Cap: Rect{25.5, 6, 5, 1.5}}}
	if diff := cmp.Diff(want, s.Newels, near); diff != "" {
		t.Errorf("newel (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(Line{{31.5, 13.5}, {31.5, 12.5}, {37, 12.5}}, s.ToCome[0], near); diff != "" {
		t.Errorf("first step to come (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(Line{{49.5, 8.5}, {49.5, 7.5}, {54.5, 7.5}, {54.5, 23}}, s.ToCome[3], near); diff != "" {
		t.Errorf("last step (-want +got):\n%s", diff)
	}
}

// The same sheet, five steps just started with help on two: the rail runs from
// 1, 16 to 19, 10.
func TestSmallRail(t *testing.T) {
	t.Parallel()
	s := SmallStairway(Breakdown{First: stairs(5, 1, 2)})
	if diff := cmp.Diff([]Line{{{1, 16}, {19, 10}}}, s.Rails, near); diff != "" {
		t.Errorf("rail (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]Line{{{14.5, 16}, {14.5, 11.5}}}, s.Posts, near); diff != "" {
		t.Errorf("balusters (-want +got):\n%s", diff)
	}
}

func TestRailEndsInTheNewelOfTheCurrentStep(t *testing.T) {
	t.Parallel()
	s := SmallStairway(Breakdown{First: stairs(7, 3, 3)})
	end := s.Rails[0][1]
	if want := s.Newels[0].Shaft.X + 1.5; math.Abs(end.X-want) > 1e-9 {
		t.Errorf("rail ends at %v, newel is at %v", end.X, want)
	}
}

func TestOneRailPerRunOfHelp(t *testing.T) {
	t.Parallel()
	steps := stairs(6, 4, 0)
	for _, i := range []int{0, 1, 4} {
		steps[i].Help = true
	}
	if got := len(SmallStairway(Breakdown{First: steps}).Rails); got != 2 {
		t.Errorf("got %d rails, want 2", got)
	}
}

// An inserted step does not change those mastered above it.
func TestInsertedStep(t *testing.T) {
	t.Parallel()
	steps := stairs(8, 5, 0)
	steps[5].State = Met
	s := SmallStairway(Breakdown{First: steps})
	if len(s.Met) != 5 || len(s.ToCome) != 2 || len(s.Newels) != 1 {
		t.Errorf("got %d inked, %d to come, %d newels; want 5, 2, 1", len(s.Met), len(s.ToCome), len(s.Newels))
	}
}

// The sheet's small drawing with two roles of five steps: width 86, landing at
// 35, 9.5 to 51.
func TestSmallTwoRoles(t *testing.T) {
	t.Parallel()
	s := SmallStairway(Breakdown{First: stairs(5, 4, 0), Second: stairs(5, 2, 0), Joint: make([]Step, 2)})
	if s.Width != 86 {
		t.Errorf("width: got %v, want 86", s.Width)
	}
	wantClimbed := []Rect{{1, 20, 7.3, 3}, {8, 18, 7.3, 5}, {15, 16, 7.3, 7}, {77.7, 20, 7.3, 3}}
	if diff := cmp.Diff(wantClimbed, s.Met, near); diff != "" {
		t.Errorf("climbed (-want +got):\n%s", diff)
	}
	landing := s.Treads[len(s.Treads)-1]
	if diff := cmp.Diff(Rect{35, 9.5, 16, 2}, landing, near); diff != "" {
		t.Errorf("landing (-want +got):\n%s", diff)
	}
	if s.Newels[0].Role != 0 || s.Newels[1].Role != 1 {
		t.Errorf("newels are for roles %d, %d; want 0, 1", s.Newels[0].Role, s.Newels[1].Role)
	}
}

func TestFullNewelMeasures(t *testing.T) {
	t.Parallel()
	s := FullStairway(Breakdown{First: stairs(7, 3, 3)}, 984)
	n := s.Newels[0]
	ground := s.Ground[0].Y
	top := ground - 60
	want := Newel{Plinth: Rect{343.428, top - 8, 16, 8}, Shaft: Rect{345.928, top - 48, 11, 48}, Cap: Rect{343.428, top - 54, 16, 4}}
	if diff := cmp.Diff(want, n, near); diff != "" {
		t.Errorf("newel (-want +got):\n%s", diff)
	}
	if len(s.Posts) != 7 { // three a step on two steps, one before the newel
		t.Errorf("balusters: got %d, want 7", len(s.Posts))
	}
}

func TestHatchingStaysInside(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := Rect{
			rapid.Float64Range(-100, 900).Draw(t, "x"), rapid.Float64Range(0, 100).Draw(t, "y"),
			rapid.Float64Range(1, 500).Draw(t, "w"), rapid.Float64Range(1, 300).Draw(t, "h"),
		}
		for _, l := range hatching(r) {
			for _, p := range l {
				if p.X < r.X-1e-6 || p.X > r.X+r.W+1e-6 || p.Y < r.Y-1e-6 || p.Y > r.Y+r.H+1e-6 {
					t.Fatalf("%v is outside %v", p, r)
				}
			}
			if dx, dy := l[1].X-l[0].X, l[0].Y-l[1].Y; math.Abs(dx-dy) > 1e-6 {
				t.Fatalf("%v is not at 45 degrees", l)
			}
		}
	})
}

// For every breakdown, everything is drawn inside the box (the newel's cap may
// extend half a unit above the small one, as on the sheet) and nothing is lost:
// each step is inked, current or outlined.
func TestEveryStepIsDrawnInsideTheBox(t *testing.T) {
	t.Parallel()
	step := rapid.Custom(func(t *rapid.T) Step {
		return Step{State: StepState(rapid.IntRange(0, 2).Draw(t, "state")), Help: rapid.Bool().Draw(t, "help")}
	})
	rapid.Check(t, func(t *rapid.T) {
		b := Breakdown{First: rapid.SliceOfN(step, 1, 20).Draw(t, "first")}
		if rapid.Bool().Draw(t, "two roles") {
			b.Second = rapid.SliceOfN(step, 1, 12).Draw(t, "second")
			b.Joint = rapid.SliceOfN(step, 0, 4).Draw(t, "joint")
		}
		small, full := SmallStairway(b), FullStairway(b, 984)
		inside(t, full, 0)
		if !b.TwoRoles() {
			if got := len(small.Met) + len(small.ToCome) + len(small.Well); got != len(b.First) {
				t.Fatalf("%d steps drawn of %d", got, len(b.First))
			}
		}
		for _, r := range append(append([]Rect{}, small.Met...), small.Well...) {
			if r.H <= 0 || r.X < 0 || r.X+r.W > small.Width {
				t.Fatalf("%v is outside a box %v wide", r, small.Width)
			}
		}
	})
}

func inside(t *rapid.T, s Stairway, slack float64) {
	rects := append([]Rect{}, s.Met...)
	for _, n := range s.Newels {
		rects = append(rects, n.Cap, n.Shaft)
	}
	for _, r := range rects {
		if r.Y < -slack || r.Y+r.H > s.Height+slack {
			t.Fatalf("%v is outside a box %v high", r, s.Height)
		}
	}
	for _, l := range s.Rails {
		for _, p := range l {
			if p.Y < -slack {
				t.Fatalf("the rail leaves the box at %v", p)
			}
		}
	}
}
