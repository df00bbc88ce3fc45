package view

import (
	"strings"

	"newel/internal/chart"
)

// SmallGraphModel is the graph of a row on the caseload.
type SmallGraphModel struct {
	Data    chart.GraphData
	Name    string // the numbers in words, for a screen reader
	Caption string // explains the y axis and the shapes of people, in one line
	Href    string // the progress page
	Open    string // name of the link: "Open the graph of Rami Haddarin, Asking for a break"
}

// GraphModel is the graph of a progress page.
type GraphModel struct {
	ID       string // unique on the page
	Data     chart.GraphData
	Title    string
	YTitle   string
	XTitle   string
	Sessions []SessionText // one for each session of Data
	Key      []KeyLine
	Events   []string // in words, in the order of Data's events
	Table    *Table   // the same numbers, for readers who cannot see or do not want the drawing
	TableAs  string   // label that opens the table
	Scroll   string   // name of the frame, which scrolls if the graph is wide
	Heading  string   // over the drawing, where a page has several
}

// SessionText describes a session in words and links to its page.
type SessionText struct{ Text, Href string }

// KeyLine is one line of a graph's key.
type KeyLine struct {
	Shape KeyShape
	Text  string
}

// KeyShape is the symbol at the start of a key line.
type KeyShape int

// Shapes of a key.
const (
	KeyFirst KeyShape = iota
	KeySecond
	KeyOthers
	KeyHelp
	KeyLeftOut
	KeyProbe
	KeyCheck
	KeySaidNo
	KeyCriterion
	KeyStep
	KeyChange
)

// The space beside a side head, and the scale of a drawing that has to fit it.
// Both axes shrink by the same factor, so that a change looks as steep as
// before; a graph that is still too wide scrolls.
const (
	graphRoom = 836
	graphMin  = 0.83
)

// shown returns the scale of a graph on the page.
func shown(g chart.Graph) float64 {
	if scale := graphRoom / g.Width; scale >= graphMin && scale < 1 {
		return scale
	}
	return 1
}

// keyMark returns a session that shows a shape.
func keyMark(k KeyShape) chart.Mark {
	m := chart.Mark{Point: chart.Point{X: 9, Y: 9}, Radius: 5.5}
	switch k {
	case KeySecond:
		m.Who = 1
	case KeyOthers:
		m.Who = 2
	case KeyHelp:
		m.Kind, m.Y = chart.WithHelp, 11.5
	case KeyLeftOut:
		m.Kind = chart.LeftOut
	case KeyProbe:
		m.Kind = chart.Probe
	case KeyCheck:
		m.Kind, m.Y = chart.Check, 8
	case KeySaidNo:
		m.No = true
	}
	return m
}

// keyLine returns the line that shows a shape, or nothing.
func keyLine(k KeyShape) (class, d string) {
	switch k {
	case KeyCriterion:
		return "d-crit", "M0 9h18"
	case KeyStep:
		return "d-phase", "M9 0v18"
	case KeyChange:
		return "d-change", "M9 0v18"
	default:
		return "", ""
	}
}

func keyClass(k KeyShape) string {
	class, _ := keyLine(k)
	return class
}

func keyPath(k KeyShape) string {
	_, d := keyLine(k)
	return d
}

// square returns a square around a center. It is slightly smaller than the
// circle next to it, so that both look equally heavy.
func square(m chart.Mark) chart.Rect {
	half := m.Radius * 0.953
	return chart.Rect{X: m.X - half, Y: m.Y - half, W: 2 * half, H: 2 * half}
}

// bars returns the two upright bars of a no, which fill most of their band.
func bars(m chart.Mark) []chart.Rect {
	h := 3.2 * m.Radius
	w := 0.85 * m.Radius
	left, right := m.X-w-0.8*m.Radius/2-0.4, m.X+0.8*m.Radius/2+0.4
	return []chart.Rect{{X: left, Y: m.Y - h/2, W: w, H: h}, {X: right, Y: m.Y - h/2, W: w, H: h}}
}

func barPath(m chart.Mark) string { return rectPath(bars(m)...) }

// diamond returns the outline of a probe; triangle returns that of a
// maintenance check.
func diamond(m chart.Mark) string {
	r := m.Radius * 1.27
	return "M" + num(m.X) + " " + num(m.Y-r) + "l" + num(r) + " " + num(r) + "l" + num(-r) + " " + num(r) + "l" + num(-r) + " " + num(-r) + "z"
}

func triangle(m chart.Mark) string {
	r := m.Radius * 1.27
	return "M" + num(m.X-r) + " " + num(m.Y-r*0.75) + "h" + num(2*r) + "l" + num(-r) + " " + num(r*1.8) + "z"
}

// pointClass returns the class of a point: the first two people are solid, all
// others hollow.
func pointClass(m chart.Mark) string {
	if m.Who >= 2 {
		return "d-hollow"
	}
	return "d-point"
}

// cutGround hides the axis where days without sessions are cut out of it;
// cutPath is the double stroke there.
func cutGround(p chart.Point) string {
	return rectPath(chart.Rect{X: p.X - 5, Y: p.Y - 2, W: 10, H: 4})
}

func cutPath(p chart.Point) string {
	return linePath(
		chart.Line{{X: p.X - 4, Y: p.Y + 5}, {X: p.X - 0.5, Y: p.Y - 5}},
		chart.Line{{X: p.X + 1, Y: p.Y + 5}, {X: p.X + 4.5, Y: p.Y - 5}})
}

func phasePath(lines []chart.PhaseLine, change bool) string {
	var b strings.Builder
	for _, l := range lines {
		if l.Change == change {
			b.WriteString(linePath(chart.Line{{X: l.X, Y: l.From}, {X: l.X, Y: l.To}}))
		}
	}
	return b.String()
}

func sessionText(g GraphModel, i int) SessionText {
	if i < len(g.Sessions) {
		return g.Sessions[i]
	}
	return SessionText{}
}

// frameName returns the name of the frame that the drawing scrolls in. It
// includes the graph's number if the page has several, because they may share a
// heading.
func (m GraphModel) frameName() string {
	if m.Heading == "" {
		return m.Scroll
	}
	return m.Heading + " (" + strings.TrimPrefix(m.ID, "g") + "): " + m.Scroll
}
