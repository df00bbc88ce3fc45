package chart

import "math"

const (
	fullRise = 20
	fullRoom = 4  // above the highest part
	roleRoom = 22 // for a role's name over its newel
)

var fullMeasures = measures{
	tread: 5, overhang: 3, treadAbove: 2.5, railAbove: 34,
	plinthW: 16, plinthH: 8, shaftW: 11, capW: 16, capH: 4, gap: 2, newelH: 54,
	halfLine: 0.75, overlap: 0.5,
	balusters: []float64{0.2, 0.5, 0.8},
}

// With two roles the goings are narrower, and newels are shorter because names
// go over them.
var fullTwoMeasures = func() measures {
	m := fullMeasures
	m.overhang, m.newelH = 2, 44
	return m
}()

const (
	hatchEvery = 6.0 // along the normal of the hatching
)

// FullStairway draws a breakdown across a page of the given width. For a single
// flight, the labels go into a list under the drawing and are not part of it.
func FullStairway(b Breakdown, width float64) Stairway {
	if b.TwoRoles() {
		return fullTwo(b, width)
	}
	n := len(b.First)
	ground := room(b.First, fullRise, fullMeasures)
	s := Stairway{Width: width, Height: ground + fullRoom, Ground: Line{{0, ground}, {width, ground}}}
	f := flight{
		m: fullMeasures, steps: b.First, ground: ground, going: width / math.Max(1, float64(n)), rise: fullRise,
		base: ground, last: true,
	}
	f.climb()
	f.hatch(&s)
	f.draw(&s)
	return s
}

func (f *flight) climb() {
	for i := range f.steps {
		f.tops = append(f.tops, f.ground-f.rise*float64(i+1))
	}
}

// room returns the distance from the top of the drawing to the ground that
// stairs, rail and newel need.
func room(steps []Step, rise float64, m measures) float64 {
	need := 0.0
	for i, step := range steps {
		top := rise * float64(i+1)
		need = math.Max(need, top)
		if step.State == Current {
			need = math.Max(need, top+m.newelH)
		}
		if step.Help {
			need = math.Max(need, top+m.railAbove+rise/2)
		}
	}
	return need + fullRoom
}

// hatch fills the bodies of current steps with lines at 45 degrees.
func (f *flight) hatch(s *Stairway) {
	for i, step := range f.steps {
		if step.State == Current {
			body := f.rect(Rect{f.left(i), f.tops[i], f.going, f.ground - f.tops[i]})
			s.Bare = append(s.Bare, body)
			s.Hatch = append(s.Hatch, hatching(body)...)
		}
	}
}

// hatching returns the 45-degree lines within a rectangle, cut exactly at its
// edges so that drawing them needs no clipping.
func hatching(r Rect) []Line {
	var lines []Line
	step := hatchEvery * math.Sqrt2
	for c := step; c < r.W+r.H; c += step {
		// The line x + y = c, measured from the upper corner at the start.
		from := Point{r.X + math.Max(0, c-r.H), r.Y + math.Min(c, r.H)}
		to := Point{r.X + math.Min(c, r.W), r.Y + math.Max(0, c-r.W)}
		lines = append(lines, Line{from, to})
	}
	return lines
}

func fullTwo(b Breakdown, width float64) Stairway {
	m := fullTwoMeasures
	high := max(len(b.First), len(b.Second))
	going := width / float64(len(b.First)+len(b.Second)+2)
	ground := fullTwoRoom(b, high)
	s := Stairway{Width: width, Height: ground + fullRoom, Ground: Line{{0, ground}, {width, ground}}}
	for role, steps := range [][]Step{b.First, b.Second} {
		own := fullRise * float64(high) / float64(len(steps)) // both flights arrive at the same height
		f := flight{
			m: m, steps: steps, ground: ground, going: going, rise: own, base: ground,
			mirror: role == 1, mirrorX: width, role: role,
		}
		f.climb()
		f.body(&s, ground)
		f.hatch(&s)
		f.draw(&s)
		f.labels(&s)
	}
	s.ToCome = nil // the outlines of the bodies show these steps
	landing(&s, b.Joint, landingPlace{
		x: float64(len(b.First)) * going, top: ground - fullRise*float64(high+1), ground: ground, going: going, rise: fullRise,
		thick: 5, above: 2.5, wide: true, overhang: 6, pier: 5, m: m,
	})
	return s
}

func fullTwoRoom(b Breakdown, high int) float64 {
	m := fullTwoMeasures
	need := 0.0
	for _, steps := range [][]Step{b.First, b.Second} {
		own := fullRise * float64(high) / float64(len(steps))
		need = math.Max(need, room(steps, own, m)+roleRoom)
	}
	landing := make([]Step, high, high+len(b.Joint))
	return math.Max(need, room(append(landing, b.Joint...), fullRise, m)+roleRoom)
}

// body returns the outline of a whole flight.
func (f *flight) body(s *Stairway, ground float64) {
	line := Line{{f.left(0), ground}}
	for i := range f.steps {
		line = append(line, Point{f.left(i), f.tops[i]}, Point{f.left(i) + f.going, f.tops[i]})
	}
	line = append(line, Point{f.left(len(f.steps)), ground})
	s.Body = append(s.Body, f.line(line))
}

func (f *flight) labels(s *Stairway) {
	for i, step := range f.steps {
		at := f.line(Line{{f.centre(i), f.tops[i] + 15}})[0]
		s.Labels = append(s.Labels, StepLabel{Text{at.X, at.Y, step.Label}, step.State})
	}
}
