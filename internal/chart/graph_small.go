package chart

import (
	"math"
	"strconv"
)

// smallBand is the height of the band with the child's nos in the smaller
// graphs.
const smallBand = 15

// SmallGraph returns the graph of a caseload row, 188 by 74, or higher with the
// child's nos: two values at the start, the criterion at the end.
func SmallGraph(data GraphData) Graph {
	p := plot{data: data, left: 38, right: 150, top: 8, zero: 58, axis: 62.5, radius: 4, gap: 8}.banded(smallBand).placed()
	g := Graph{
		Width: 188, Height: 74 + p.band,
		Axis:      Line{{29.5, 5}, {29.5, p.axis}, {162, p.axis}},
		Ticks:     []Line{{{26, p.zero}, {30, p.zero}}, {{26, p.top}, {30, p.top}}},
		YLabels:   []Text{{23, p.zero + 4, "0"}, {23, p.top + 4, number(data.Top)}},
		Criterion: p.criteria(0, 162),
		Phases:    p.phaseLines(3, p.axis),
		Cuts:      p.cuts(),
		Band:      p.bandLine(29.5, 162),
		Path:      p.path(),
		Marks:     p.marks(),
	}
	g.YLabels = append(g.YLabels, p.bandName(23)...)
	for i := range data.Sessions {
		g.Ticks = append(g.Ticks, Line{{p.x(i), p.axis}, {p.x(i), p.axis + 3}})
	}
	if n := len(data.Phases); n > 0 && data.Phases[n-1].Criterion != nil {
		value := *data.Phases[n-1].Criterion
		g.CritLabel = []Text{{165, p.y(value) + 4, number(value)}}
	}
	return g
}

// panelX is the length of the x axis of one of several stacked graphs.
const panelX = 400

// PanelGraph returns one of several stacked graphs that share their positions,
// so that readers can compare what different people saw. Only the last one
// shows session numbers.
func PanelGraph(data GraphData, last bool) Graph {
	n := len(data.Sessions)
	length := math.Max(panelX, 14*float64(n))
	p := plot{data: data, left: 52, right: 52 + length - 40, top: 10, zero: 82, axis: 88.5, radius: 4.5, gap: 12}
	if n > 1 && n < 8 {
		p.right = p.left + float64(n-1)*48
	}
	p = p.banded(smallBand).placed()
	g := Graph{
		Width: 40 + length, Height: 94 + p.band,
		Axis:      Line{{37.5, 5}, {37.5, p.axis}, {38 + length, p.axis}},
		Criterion: p.criteria(3, 38+length),
		Phases:    p.phaseLines(3, p.axis),
		Cuts:      p.cuts(),
		Band:      p.bandLine(37.5, 38+length),
		Path:      p.path(),
		Marks:     p.marks(),
	}
	for _, v := range []float64{0, data.Top / 2, data.Top} {
		g.Ticks = append(g.Ticks, Line{{33, p.y(v)}, {38, p.y(v)}})
		g.YLabels = append(g.YLabels, Text{29, p.y(v) + 4, number(v)})
	}
	g.YLabels = append(g.YLabels, p.bandName(29)...)
	p.sessions(&g)
	if !last {
		g.XLabels = nil
	} else {
		g.Height += 20
	}
	return g
}

// number formats a value beside an axis. The product of a round distance and a
// small number may be off in its 16th digit, as 3 × 0.1 is, so it is rounded to
// 12 first.
func number(v float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	if err != nil { // never: it was just formatted
		rounded = v
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
