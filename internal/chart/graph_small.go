package chart

import "strconv"

// SmallGraph draws the graph of a row on the caseload, 188 by 74: two values at the start, the criterion at the end.
func SmallGraph(data GraphData) Graph {
	p := plot{data: data, left: 38, right: 150, top: 8, zero: 58, axis: 62.5, radius: 4, gap: 8}
	g := Graph{
		Width: 188, Height: 74,
		Axis:      Line{{29.5, 5}, {29.5, p.axis}, {162, p.axis}},
		Ticks:     []Line{{{26, p.zero}, {30, p.zero}}, {{26, p.top}, {30, p.top}}},
		YLabels:   []Text{{23, p.zero + 4, "0"}, {23, p.top + 4, number(data.Top)}},
		Criterion: p.criteria(0, 162),
		Phases:    p.phaseLines(3, p.axis),
		Cuts:      p.cuts(),
		Path:      p.path(),
		Marks:     p.marks(),
	}
	for i := range data.Sessions {
		g.Ticks = append(g.Ticks, Line{{p.x(i), p.axis}, {p.x(i), p.axis + 3}})
	}
	if n := len(data.Phases); n > 0 && data.Phases[n-1].Criterion != nil {
		value := *data.Phases[n-1].Criterion
		g.CritLabel = []Text{{165, p.y(value) + 4, number(value)}}
	}
	return g
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
