package chart

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func at(v float64) *float64 { return &v }

func values(vs ...float64) []Session {
	sessions := make([]Session, len(vs))
	for i, v := range vs {
		sessions[i].Value = v
	}
	return sessions
}

// The numbers are those of the drawing set's own sheet for eight sessions of seconds to recover.
func TestSmallGraphOfSeconds(t *testing.T) {
	t.Parallel()
	data := GraphData{
		Sessions: values(40, 35, 60, 70, 95, 110, 120, 150),
		Phases:   []Phase{{Criterion: at(60)}}, Top: 160, Every: 40,
	}
	data.Sessions[7].No = true
	g := SmallGraph(data)
	want := Line{{38, 45.5}, {54, 47.0625}, {70, 39.25}, {86, 36.125}, {102, 28.3125}, {118, 23.625}, {134, 20.5}, {150, 11.125}}
	if diff := cmp.Diff([]Line{want}, g.Path, near); diff != "" {
		t.Errorf("path (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]Text{{165, 43.25, "60"}}, g.CritLabel, near); diff != "" {
		t.Errorf("criterion (-want +got):\n%s", diff)
	}
	if last := g.Marks[7]; !last.No {
		t.Error("the last session was ended by a no, and is not marked so")
	}
}

func TestPathBreaks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		change func(*GraphData)
		runs   []int // how many sessions each piece of the path joins
	}{
		{"nowhere", func(*GraphData) {}, []int{6}},
		{"at days without a session", func(d *GraphData) { d.Sessions[3].Gap = true }, []int{3, 3}},
		{"at another step", func(d *GraphData) { d.Phases = []Phase{{}, {From: 2}} }, []int{2, 4}},
		{"at a change", func(d *GraphData) { d.Phases = []Phase{{}, {From: 4, Change: true}} }, []int{4, 2}},
		{"at a probe", func(d *GraphData) { d.Sessions[2].Kind = Probe }, []int{2, 3}},
		{"at a session left out", func(d *GraphData) { d.Sessions[1].Kind = LeftOut }, []int{4}},
		{"not at counted help", func(d *GraphData) { d.Sessions[1].Kind = WithHelp }, []int{6}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := GraphData{Sessions: values(1, 2, 3, 4, 5, 5), Phases: []Phase{{}}, Top: 5, Every: 1}
			c.change(&d)
			var runs []int
			for _, l := range SmallGraph(d).Path {
				runs = append(runs, len(l))
			}
			if diff := cmp.Diff(c.runs, runs); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestNoughtIsNotOnTheAxis(t *testing.T) {
	t.Parallel()
	d := GraphData{Sessions: values(0), Top: 100, Every: 20}
	if g := SmallGraph(d); g.Axis[1].Y-g.Marks[0].Y < 4 {
		t.Errorf("small: nought at %v, axis at %v", g.Marks[0].Y, g.Axis[1].Y)
	}
	if g := FullGraph(d); g.Axis[1].Y-g.Marks[0].Y != 10 {
		t.Errorf("wide: nought at %v, axis at %v", g.Marks[0].Y, g.Axis[1].Y)
	}
}

func TestWideGraphGrowsWithItsSessions(t *testing.T) {
	t.Parallel()
	width := func(n int) float64 {
		return FullGraph(GraphData{Sessions: make([]Session, n), Top: 100, Every: 20}).Width
	}
	if width(22) != width(5) {
		t.Errorf("22 sessions should fit on the page: %v, %v", width(22), width(5))
	}
	if perStep := (width(60) - 66) / 246 / 60; perStep < 0.14 {
		t.Errorf("60 sessions: %v for each, want 0.14 or more", perStep)
	}
}

func TestMarksStayInThePlot(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		session := rapid.Custom(func(t *rapid.T) Session {
			return Session{
				Value: rapid.Float64Range(-5, 500).Draw(t, "value"), None: rapid.Bool().Draw(t, "none"),
				Kind: PointKind(rapid.IntRange(0, 4).Draw(t, "kind")), No: rapid.Bool().Draw(t, "no"), Gap: rapid.Bool().Draw(t, "gap"),
			}
		})
		d := GraphData{Sessions: rapid.SliceOfN(session, 0, 60).Draw(t, "sessions"), Phases: []Phase{{Criterion: at(80)}}, Top: 100, Every: 20}
		for _, g := range []Graph{SmallGraph(d), FullGraph(d)} {
			for _, m := range g.Marks {
				if m.X < g.Axis[0].X || m.X > g.Width || m.Y < 0 || m.Y > g.Axis[1].Y {
					t.Fatalf("%v lies outside a graph of %v × %v", m.Point, g.Width, g.Height)
				}
			}
		}
	})
}
