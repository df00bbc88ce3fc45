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

// The numbers are from the drawing set's sheet for eight sessions of seconds to
// recover.
func TestSmallGraphOfSeconds(t *testing.T) {
	t.Parallel()
	data := GraphData{
		Sessions: values(40, 35, 60, 70, 95, 110, 120, 150),
		Phases:   []Phase{{Criterion: at(60)}}, Top: 160, Every: 40,
	}
	data.Sessions[7].No = true
	g := SmallGraph(data)
	want := Line{{38, 45.5}, {54, 47.0625}, {70, 39.25}, {86, 36.125}, {102, 28.3125}, {118, 23.625}, {134, 20.5}}
	if diff := cmp.Diff([]Line{want}, g.Path, near); diff != "" {
		t.Errorf("path (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]Text{{165, 43.25, "60"}}, g.CritLabel, near); diff != "" {
		t.Errorf("criterion (-want +got):\n%s", diff)
	}
	if last := g.Marks[7]; !last.No {
		t.Error("the last session ended with a refusal but is not marked")
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
		{"at a different step", func(d *GraphData) { d.Phases = []Phase{{}, {From: 2}} }, []int{2, 4}},
		{"at a change", func(d *GraphData) { d.Phases = []Phase{{}, {From: 4, Change: true}} }, []int{4, 2}},
		{"at a probe", func(d *GraphData) { d.Sessions[2].Kind = Probe }, []int{2, 3}},
		{"at an excluded session", func(d *GraphData) { d.Sessions[1].Kind = LeftOut }, []int{4}},
		{"at a no", func(d *GraphData) { d.Sessions[2].No = true }, []int{2, 3}},
		{"at a no without a result", func(d *GraphData) { d.Sessions[4] = Session{None: true, No: true} }, []int{4}},
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

func TestZeroIsAboveTheAxis(t *testing.T) {
	t.Parallel()
	d := GraphData{Sessions: values(0), Top: 100, Every: 20}
	if g := SmallGraph(d); g.Axis[1].Y-g.Marks[0].Y < 4 {
		t.Errorf("small: nought at %v, axis at %v", g.Marks[0].Y, g.Axis[1].Y)
	}
	if g := FullGraph(d); g.Axis[1].Y-g.Marks[0].Y != 10 {
		t.Errorf("wide: nought at %v, axis at %v", g.Marks[0].Y, g.Axis[1].Y)
	}
}

// TestNosAreInABandOfTheirOwn: whatever was measured, a session in which the
// child said no is drawn below every value and above the axis.
func TestNosAreInABandOfTheirOwn(t *testing.T) {
	t.Parallel()
	d := GraphData{Sessions: values(0, 80, 40), Phases: []Phase{{Criterion: at(80)}}, Top: 100, Every: 20, NoName: "no"}
	for name, draw := range map[string]func(GraphData) Graph{
		"small": SmallGraph, "wide": FullGraph, "panel": func(d GraphData) Graph { return PanelGraph(d, true) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			plain := draw(d)
			if plain.Band != nil {
				t.Errorf("a band without a no: %v", plain.Band)
			}
			d := d
			d.Sessions = append(values(0, 80, 40), Session{Value: 33, No: true}, Session{None: true, No: true})
			g := draw(d)
			edge, axis, name := g.Band[0].Y, g.Axis[1].Y, g.YLabels[len(g.YLabels)-1]
			if g.Height-plain.Height != axis-edge || name.S != "no" || name.Y < edge || name.Y > axis {
				t.Errorf("band from %v to %v in a graph of %v, name at %v", edge, axis, g.Height, name)
			}
			for _, m := range g.Marks {
				half := 1.6 * m.Radius // of the bars; see view
				switch {
				case m.No && (m.Y-half < edge || m.Y+half > axis):
					t.Errorf("the no at %v is not between %v and %v", m.Y, edge, axis)
				case !m.No && m.Y+m.Radius > edge+1:
					t.Errorf("the value at %v is in the band from %v", m.Y, edge)
				}
			}
			if len(g.Path) != 1 || len(g.Path[0]) != 3 {
				t.Errorf("path %v, want one of the three values", g.Path)
			}
		})
	}
}

func TestBracketsIgnoreNos(t *testing.T) {
	t.Parallel()
	d := GraphData{Sessions: values(80, 0, 90), Phases: []Phase{{}}, Top: 100, Every: 20, Brackets: []Bracket{{0, 2, "met"}}}
	d.Sessions[1].No = true
	if g := FullGraph(d); g.Brackets[0][1].Y > g.Marks[0].Y+25 {
		t.Errorf("the bracket at %v is under the no", g.Brackets[0][1].Y)
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
					t.Fatalf("%v is outside a graph of %v × %v", m.Point, g.Width, g.Height)
				}
			}
		}
	})
}

func TestSessionsArePlacedByDate(t *testing.T) {
	t.Parallel()
	d := GraphData{Sessions: values(1, 2, 3, 4), Days: []int{0, 1, 1, 11}, DayNames: []DayName{{0, "1 March"}, {7, "8 March"}}, Phases: []Phase{{}}, Top: 5, Every: 1}
	d.Sessions[3].Gap = true
	g := FullGraph(d)
	day := (g.Marks[3].X - g.Marks[0].X) / 11
	for i, want := range []float64{0, 1, 1.4, 11} { // two on one day share it
		if diff := cmp.Diff(g.Marks[0].X+want*day, g.Marks[i].X, near); diff != "" {
			t.Errorf("session %d: %s", i, diff)
		}
	}
	if len(g.Cuts) != 0 {
		t.Errorf("visible days were cut out: %v", g.Cuts)
	}
	if diff := cmp.Diff([]Text{{g.Marks[0].X, 338, "1 March"}, {g.Marks[0].X + 7*day, 338, "8 March"}}, g.XLabels, near); diff != "" {
		t.Errorf("dates: %s", diff)
	}
	if len(g.Path) != 1 || len(g.Path[0]) != 3 {
		t.Errorf("path %v, want one of three sessions", g.Path)
	}
}

func TestEveryDayHasRoom(t *testing.T) {
	t.Parallel()
	d := GraphData{Sessions: values(1, 2), Days: []int{0, 200}, Top: 5, Every: 1}
	if g := FullGraph(d); (g.Marks[1].X-g.Marks[0].X)/200 < 8.9 {
		t.Errorf("%v for 200 days", g.Marks[1].X-g.Marks[0].X)
	}
}

func TestPathSkipsOtherPeople(t *testing.T) {
	t.Parallel()
	d := GraphData{Sessions: values(1, 0, 3, 4), Phases: []Phase{{}}, Top: 5, Every: 1}
	d.Sessions[1] = Session{Aside: true}
	g := PanelGraph(d, true)
	if len(g.Marks) != 3 || len(g.Path) != 1 || len(g.Path[0]) != 3 {
		t.Errorf("%d marks, path %v", len(g.Marks), g.Path)
	}
	if len(PanelGraph(d, false).XLabels) != 0 || len(g.XLabels) != 4 {
		t.Error("only the last of several graphs should number the sessions")
	}
}

func TestBracketsCoverTheirSessions(t *testing.T) {
	t.Parallel()
	d := GraphData{Sessions: values(80, 100, 90, 0, 10), Phases: []Phase{{Criterion: at(80)}}, Top: 100, Every: 20, Brackets: []Bracket{{0, 2, "met"}, {3, 4, "met"}}}
	g := FullGraph(d)
	for i, b := range g.Brackets {
		from, to := d.Brackets[i].From, d.Brackets[i].To
		if b[1].X >= g.Marks[from].X || b[2].X <= g.Marks[to].X {
			t.Errorf("bracket %d from %v to %v does not cover its sessions", i, b[1].X, b[2].X)
		}
	}
	if under := g.Brackets[0][1].Y; under <= g.Marks[0].Y {
		t.Errorf("the bracket at %v cuts through the session at %v", under, g.Marks[0].Y)
	}
	if over := g.Brackets[1][1].Y; over >= g.Marks[4].Y {
		t.Errorf("no room under zero: the bracket at %v should be above %v", over, g.Marks[4].Y)
	}
}

func TestEventsAreBetweenSessions(t *testing.T) {
	t.Parallel()
	d := GraphData{Sessions: values(1, 2, 3), Top: 5, Every: 1, Events: []Event{{0, 1}, {2, 2}, {2, 3}, {3, 4}}}
	g := FullGraph(d)
	x := func(i int) float64 { return g.Events[i].X }
	if !(x(0) < g.Marks[0].X && g.Marks[1].X < x(1) && x(1) < x(2) && x(1) < g.Marks[2].X && x(3) > g.Marks[2].X) {
		t.Errorf("events at %v, sessions at %v", g.Events, g.Marks)
	}
}

func TestPhaseWithoutSessions(t *testing.T) {
	t.Parallel()
	d := GraphData{Sessions: append(values(4, 5), Session{None: true, Empty: true}), Phases: []Phase{{Label: "F1"}, {From: 2, Label: "F2"}}, Numbers: []int{1, 2, 0}, Top: 5, Every: 1}
	g := FullGraph(d)
	if len(g.Marks) != 2 || len(g.XLabels) != 2 || len(g.Names) != 2 {
		t.Errorf("%d marks, %d numbers, %d phases", len(g.Marks), len(g.XLabels), len(g.Names))
	}
}

// TestAxisLabelsAreRound checks that a multiple of a decimal step is written as
// such: as floats, 3 × 0.1 is not 0.3.
func TestAxisLabelsAreRound(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		top  float64
		want []string
	}{
		{0.4, []string{"0", "0.1", "0.2", "0.3", "0.4"}},
		{1.2, []string{"0", "0.3", "0.6", "0.9", "1.2"}},
		{0.0004, []string{"0", "0.0001", "0.0002", "0.0003", "0.0004"}},
		{100, []string{"0", "25", "50", "75", "100"}},
		{40_000_000, []string{"0", "10000000", "20000000", "30000000", "40000000"}},
	} {
		g := FullGraph(GraphData{Sessions: values(0, 0), Phases: []Phase{{}}, Top: c.top, Every: c.top / 4})
		var got []string
		for _, label := range g.YLabels {
			got = append(got, label.S)
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("up to %v (-want +got):\n%s", c.top, diff)
		}
	}
	criterion := 66.666667
	if g := SmallGraph(GraphData{Sessions: values(1), Phases: []Phase{{Criterion: &criterion}}, Top: 100, Every: 25}); g.CritLabel[0].S != "66.666667" {
		t.Errorf("a criterion of %v is labeled %s", criterion, g.CritLabel[0].S)
	}
}
