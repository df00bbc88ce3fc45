package chart

// A Curve is a small plot of probabilities: both axes run from 0 to 100
// percent.
type Curve struct {
	W, H   float64
	Box    Rect   // the area between the axes
	Lines  []Line // in the order given
	X, Y   []Text // ticks
	Points []Point
}

// Margins of a curve's area within its drawing.
const (
	curveLeft   = 34
	curveTop    = 8
	curveRight  = 12
	curveBottom = 24
)

// NewCurve draws lines of probabilities. Lines and points are given in percent,
// x first; points are marked on the lines.
func NewCurve(w, h float64, lines []Line, points []Point) Curve {
	c := Curve{W: w, H: h, Box: Rect{X: curveLeft, Y: curveTop, W: w - curveLeft - curveRight, H: h - curveTop - curveBottom}}
	at := func(p Point) Point {
		return Point{X: c.Box.X + p.X/100*c.Box.W, Y: c.Box.Y + c.Box.H - p.Y/100*c.Box.H}
	}
	for _, line := range lines {
		drawn := make(Line, len(line))
		for i, p := range line {
			drawn[i] = at(p)
		}
		c.Lines = append(c.Lines, drawn)
	}
	for _, p := range points {
		c.Points = append(c.Points, at(p))
	}
	for _, n := range []struct {
		value float64
		text  string
	}{{0, "0"}, {50, "50"}, {100, "100"}} {
		p := at(Point{n.value, n.value})
		c.X = append(c.X, Text{X: p.X, Y: c.Box.Y + c.Box.H + 17, S: n.text})
		c.Y = append(c.Y, Text{X: c.Box.X - 8, Y: p.Y + 4, S: n.text})
	}
	return c
}
