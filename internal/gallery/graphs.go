package gallery

import (
	"strconv"

	"github.com/a-h/templ"

	"newel/internal/chart"
	"newel/internal/view"
)

func criterionAt(v float64) *float64 { return &v }

func smallGraphs() []view.SmallGraphModel {
	no := chart.GraphData{Top: 160, Every: 40, NoName: "no", Phases: []chart.Phase{{Criterion: criterionAt(60)}}}
	for _, v := range []float64{40, 35, 60, 70, 95, 110, 120, 150} {
		no.Sessions = append(no.Sessions, chart.Session{Value: v})
	}
	no.Sessions[7].No = true
	two := chart.GraphData{Top: 100, Every: 20, Phases: []chart.Phase{{Criterion: criterionAt(80)}, {From: 8, Change: true, Criterion: criterionAt(80)}}}
	for i, v := range []float64{67, 80, 33, 83, 20, 33, 83, 20, 80, 100, 83} {
		two.Sessions = append(two.Sessions, chart.Session{Value: v, Who: []int{0, 0, 1, 0, 1, 1, 0, 1, 1, 0, 1}[i]})
	}
	gap := chart.GraphData{Top: 100, Every: 20, Phases: []chart.Phase{{Criterion: criterionAt(80)}}}
	for _, v := range []float64{60, 80, 80, 20, 20, 40} {
		gap.Sessions = append(gap.Sessions, chart.Session{Value: v})
	}
	gap.Sessions[3].Gap = true
	faint := chart.GraphData{Top: 100, Every: 20, Phases: []chart.Phase{{Criterion: criterionAt(100)}}}
	for _, v := range []float64{25, 38, 38, 62, 75} {
		faint.Sessions = append(faint.Sessions, chart.Session{Value: v})
	}
	faint.Sessions[4].Kind = chart.LeftOut
	return []view.SmallGraphModel{
		{Data: no, Name: "Seconds to recover in the last 8 sessions: 40, 35, 60, 70, 95, 110, 120, 150; the criterion is at most 60. The last session was ended by the child.", Caption: "Seconds to recover. Bars: said no", Href: "/progress/1", Open: "Open the graph of Wren Brennick, Fine either way"},
		{Data: two, Name: "Percent of chances asked alone, 11 sessions; the last three are 80, 100 and 83; the criterion is 80.", Caption: "Percent without help. Circle Lubna, square Sami", Href: "/progress/2", Open: "Open the graph of Rami Haddarin, Asking for a break"},
		{Data: gap, Name: "Percent steady: 60, 80, 80, then ten days of holiday, 20, 20, 40; the criterion is 80.", Caption: "Percent steady. Break: 10 days of holiday", Href: "/progress/3", Open: "Open the graph of Teo Castellane, Waiting"},
		{Data: faint, Name: "Percent of 8 parts: 25, 38, 38, 62; a second recording of the last session, 75, is not counted.", Caption: "Percent of 8 parts. Faint: second recording", Href: "/progress/4", Open: "Open the graph of Wren Brennick, Packing the swimming bag"},
	}
}

func fullGraph() view.GraphModel {
	m := view.GraphModel{
		ID: "graph", Title: "Asking for a break, Rami: percentage of chances he asked alone, 21 sessions",
		YTitle: "Percentage of chances he asked alone", XTitle: "Sessions, evenly spaced", Scroll: "The graph",
		TableAs: "Table of these sessions",
		Data: chart.GraphData{Top: 100, Every: 20, NoName: "no", Phases: []chart.Phase{
			{From: 0, Label: "Before", Note: "no help"},
			{From: 2, Label: "K1", Note: "at once", Criterion: criterionAt(90)},
			{From: 4, Label: "K2", Note: "after 2 s", Criterion: criterionAt(80)},
			{From: 7, Label: "K3, help after 4 seconds", Note: "from 24 February", Criterion: criterionAt(80)},
			{From: 16, Change: true, Label: "K3", Note: "after the call", Criterion: criterionAt(80)},
		}},
		Key: []view.KeyLine{
			{Shape: view.KeyFirst, Text: "Lubna taught"},
			{Shape: view.KeySecond, Text: "Sami taught"},
			{Shape: view.KeyHelp, Text: "with help, as K1 counts it"},
			{Shape: view.KeyLeftOut, Text: "too few trials, not counted"},
			{Shape: view.KeyProbe, Text: "probe, in the waiting room"},
			{Shape: view.KeyCheck, Text: "maintenance check"},
			{Shape: view.KeySaidNo, Text: "said no"},
			{Shape: view.KeyCriterion, Text: "criterion of the step"},
			{Shape: view.KeyStep, Text: "another step"},
			{Shape: view.KeyChange, Text: "a change"},
		},
	}
	tries := [][3]int{ // right, of, who
		{0, 5, 0},
		{1, 5, 0},
		{5, 5, 0},
		{5, 5, 0},
		{3, 5, 0},
		{4, 5, 0},
		{4, 5, 0},
		{4, 6, 0},
		{4, 5, 0},
		{2, 6, 1},
		{5, 6, 0},
		{1, 5, 1},
		{2, 6, 1},
		{5, 6, 0},
		{1, 5, 1},
		{2, 2, 0},
		{4, 5, 1},
		{5, 5, 0},
		{5, 6, 1},
		{3, 5, 0},
		{5, 5, 0},
	}
	kinds := map[int]chart.PointKind{2: chart.WithHelp, 3: chart.WithHelp, 15: chart.LeftOut, 19: chart.Probe, 20: chart.Check}
	people := []string{"Lubna", "Sami"}
	table := view.Table{Label: "Sessions of the graph", Columns: []view.Column{{Label: "Session", Number: true}, {Label: "Alone", Number: true}, {Label: "Who taught"}}}
	for i, t := range tries {
		of := strconv.Itoa(t[0]) + " of " + strconv.Itoa(t[1])
		n := strconv.Itoa(i + 1)
		m.Data.Sessions = append(m.Data.Sessions, chart.Session{
			Value: 100 * float64(t[0]) / float64(t[1]), Who: t[2], Kind: kinds[i], Gap: i == 16, No: i == 14,
		})
		m.Sessions = append(m.Sessions, view.SessionText{Text: "Session " + n + ": " + of + ", " + people[t[2]], Href: "/sessions/" + n})
		table.Rows = append(table.Rows, view.Row{Cells: []templ.Component{view.Plainly(n), view.Linked(view.Link{Label: of, Href: "/sessions/" + n}), view.Plainly(people[t[2]])}})
	}
	m.Table = &table
	return m
}

func oneStep() view.GraphModel {
	m := view.GraphModel{
		ID: "graph-two", Title: "Putting on shoes, Ines: steps alone, 6 sessions", YTitle: "Parts alone, of 8", XTitle: "Sessions, evenly spaced",
		Scroll: "The graph of one step", Key: []view.KeyLine{{Shape: view.KeyFirst, Text: "Ines with Bea"}, {Shape: view.KeySaidNo, Text: "said no"}, {Shape: view.KeyCriterion, Text: "criterion of the step"}},
		Data: chart.GraphData{Top: 8, Every: 2, NoName: "no", Phases: []chart.Phase{{Label: "S2", Note: "both shoes", Criterion: criterionAt(7)}}},
	}
	for i, v := range []float64{0, 3, 4, 4, 2, 5} {
		m.Data.Sessions = append(m.Data.Sessions, chart.Session{Value: v, No: i == 4})
		m.Sessions = append(m.Sessions, view.SessionText{Text: "Session " + strconv.Itoa(i+1) + ": " + strconv.FormatFloat(v, 'f', -1, 64) + " of 8, Bea"})
	}
	return m
}
