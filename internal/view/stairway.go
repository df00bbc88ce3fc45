package view

import (
	"strings"

	"newel/internal/chart"
)

// Stair is a stairway to be drawn, with its name in words.
type Stair struct {
	Breakdown chart.Breakdown
	Name      string   // for a screen reader, such as "Step 3 of 7: Dry both hands."
	Roles     []string // names of the two roles; drawn over the newels of a wide stairway
}

// StepText is one line of the list under a wide stairway.
type StepText struct {
	Code, Text string
	State      string // in words: "learned 14 Feb", "on this step since 24 Feb", "not yet"
	Here       bool
	Href       string
}

// fullWidth is the width of the content beside a side head on the widest page.
const fullWidth = 984

// linePath formats lines as one path.
func linePath(lines ...chart.Line) string {
	var b strings.Builder
	for _, l := range lines {
		for i, p := range l {
			if i == 0 {
				b.WriteString("M")
			} else {
				b.WriteString("L")
			}
			b.WriteString(num(p.X) + " " + num(p.Y))
		}
	}
	return b.String()
}

// rectPath formats rectangles as one path.
func rectPath(rects ...chart.Rect) string {
	var b strings.Builder
	for _, r := range rects {
		if r.W == 0 || r.H == 0 {
			continue
		}
		b.WriteString("M" + num(r.X) + " " + num(r.Y) + "h" + num(r.W) + "v" + num(r.H) + "h" + num(-r.W) + "z")
	}
	return b.String()
}

func newelPath(newels []chart.Newel) string {
	var rects []chart.Rect
	for _, n := range newels {
		rects = append(rects, n.Plinth, n.Shaft, n.Cap)
	}
	return rectPath(rects...)
}

// viewBox returns the viewBox attribute of a drawing.
func viewBox(w, h float64) string { return "0 0 " + num(w) + " " + num(h) }

// roleNames returns the roles' names above their newels.
func roleNames(s chart.Stairway, roles []string) []chart.Text {
	var names []chart.Text
	for _, n := range s.Newels {
		if n.Role < len(roles) {
			names = append(names, chart.Text{X: n.Cap.X + n.Cap.W/2, Y: n.Cap.Y - 8, S: roles[n.Role]})
		}
	}
	return names
}

// labelClass returns the class that keeps a label readable on ink, on hatching
// and on paper.
func labelClass(state chart.StepState) string {
	switch state {
	case chart.Met:
		return "t-bold t-onink"
	case chart.Current:
		return "t-bold t-halo"
	default:
		return "t-bold"
	}
}
