package chart

// StepState is a learner's state on one step.
type StepState int

// States of a step. The zero value is an upcoming step.
const (
	Ahead StepState = iota
	Current
	Met
)

// A Step is one tread of a stairway. A mastered step stays so when a new step
// is inserted before it.
type Step struct {
	State StepState
	Help  bool   // help is planned on this step: the rail covers it
	Label string // short, such as "K3"; drawn only into the steps of a wide stairway with two roles
}

// A Breakdown is what a stairway shows: one flight, or one for each of two
// roles followed by the joint steps. The first joint step is the landing
// itself.
type Breakdown struct {
	First  []Step
	Second []Step // nil unless the activity has two roles
	Joint  []Step // only with two roles
}

// TwoRoles reports whether the breakdown has a flight from each side.
func (b Breakdown) TwoRoles() bool { return len(b.Second) > 0 }

// A Newel is the post on the current step. In the small drawing it has no
// plinth.
type Newel struct {
	Plinth, Shaft, Cap Rect
	Role               int // 0 first flight, 1 second, 2 joint
}

// A Stairway is a stairway ready to draw, in field order from back to front.
type Stairway struct {
	Width, Height float64

	Body   []Line // outlines of whole flights (wide, two roles): sunk paper with an ink outline
	Well   []Rect // bodies of current steps in the small drawing
	Bare   []Rect // bodies of current steps in the wide one, under their hatching
	Hatch  []Line
	ToCome []Line
	Met    []Rect
	Sides  []Line // sides of current steps
	Treads []Rect // thick treads of current steps, and of the landing
	Piers  []Rect // of the landing
	Posts  []Line // balusters
	Rails  []Line
	Newels []Newel
	Ground Line
	Labels []StepLabel
}

// A StepLabel is a step's short name in a wide drawing with two roles.
type StepLabel struct {
	Text
	State StepState
}

// measures holds the dimensions for one drawing size.
type measures struct {
	tread, overhang   float64 // the current step's thick tread
	treadAbove        float64 // how much of it is above the step
	railAbove         float64
	plinthW, plinthH  float64
	shaftW            float64
	capW, capH, gap   float64
	newelH            float64
	halfLine, overlap float64 // half of an outline; overlap between inked steps
	balusters         []float64
}

// flight lays out one run of steps. Every flight is computed as if it rose from
// the left and mirrored at the end if it rises from the right.
type flight struct {
	m       measures
	steps   []Step
	x0      float64 // where the first step begins
	ground  float64
	going   float64
	tops    []float64 // of each step
	base    float64   // the level from which tops are measured
	rise    float64
	last    bool    // nothing follows the last step, so its outer side is drawn
	mirror  bool    // rises from the right
	mirrorX float64 // width of the drawing
	role    int
}

func (f *flight) left(i int) float64   { return f.x0 + float64(i)*f.going }
func (f *flight) centre(i int) float64 { return f.left(i) + f.going/2 }

// railY returns the height of the rail over x: parallel to the pitch, railAbove
// over the middle of each tread.
func (f *flight) railY(x float64) float64 {
	return f.base - f.rise*((x-f.x0)/f.going+0.5) - f.m.railAbove
}

func (f *flight) prevTop(i int) float64 {
	if i == 0 {
		return f.ground
	}
	return f.tops[i-1]
}

// draw adds the flight's parts except bodies and hatching, which differ by
// size.
func (f *flight) draw(s *Stairway) {
	for i, step := range f.steps {
		switch step.State {
		case Met:
			s.Met = append(s.Met, f.rect(Rect{f.left(i), f.tops[i], f.going + f.m.overlap, f.ground - f.tops[i]}))
		case Current:
			f.current(s, i)
		case Ahead:
			s.ToCome = append(s.ToCome, f.line(f.outline(i)))
		}
	}
	f.rails(s)
}

// outline returns an upcoming step: riser, tread, and at the end of the stairs
// the drop to the ground.
func (f *flight) outline(i int) Line {
	h := f.m.halfLine
	x, top := f.left(i)+h, f.tops[i]+h
	line := Line{{x, f.prevTop(i)}, {x, top}, {f.left(i) + f.going, top}}
	if f.last && i == len(f.steps)-1 {
		line[2].X -= h
		line = append(line, Point{line[2].X, f.ground})
	}
	return line
}

func (f *flight) current(s *Stairway, i int) {
	m, x, top := f.m, f.left(i), f.tops[i]
	h := m.halfLine
	s.Sides = append(s.Sides,
		f.line(Line{{x + h, top}, {x + h, f.ground}}),
		f.line(Line{{x + f.going - h, top}, {x + f.going - h, f.ground}}))
	tread := Rect{x - m.overhang, top - m.treadAbove, f.going + m.overhang, m.tread}
	if f.last && i == len(f.steps)-1 {
		tread.W += m.overhang
	}
	s.Treads = append(s.Treads, f.rect(tread))
	s.Newels = append(s.Newels, f.newel(f.centre(i), top))
}

func (f *flight) newel(x, top float64) Newel {
	m := f.m
	n := Newel{
		Shaft: f.rect(Rect{x - m.shaftW/2, top - m.newelH + m.capH + m.gap, m.shaftW, m.newelH - m.capH - m.gap}),
		Cap:   f.rect(Rect{x - m.capW/2, top - m.newelH, m.capW, m.capH}),
		Role:  f.role,
	}
	if m.plinthH > 0 {
		n.Plinth = f.rect(Rect{x - m.plinthW/2, top - m.plinthH, m.plinthW, m.plinthH})
	}
	return n
}

// rails adds one rail for each unbroken run of steps with planned help. A rail
// whose last step is the current one ends at the newel.
func (f *flight) rails(s *Stairway) {
	for from := 0; from < len(f.steps); from++ {
		if !f.steps[from].Help {
			continue
		}
		to := from
		for to+1 < len(f.steps) && f.steps[to+1].Help {
			to++
		}
		f.rail(s, from, to)
		from = to
	}
}

func (f *flight) rail(s *Stairway, from, to int) {
	start, end := f.left(from), f.left(to)+f.going
	if f.steps[to].State == Current {
		end = f.centre(to)
	}
	s.Rails = append(s.Rails, f.line(Line{{start, f.railY(start)}, {end, f.railY(end)}}))
	for i := from; i <= to; i++ {
		for _, part := range f.m.balusters {
			x := f.left(i) + part*f.going
			onNewel := f.steps[i].State == Current && x > f.centre(i)-f.m.capW/2 && x < f.centre(i)+f.m.capW/2
			if x > end || onNewel {
				continue
			}
			s.Posts = append(s.Posts, f.line(Line{{x, f.tops[i]}, {x, f.railY(x)}}))
		}
	}
}

// rect and line mirror a shape if the flight rises from the right.
func (f *flight) rect(r Rect) Rect {
	if f.mirror {
		r.X = f.mirrorX - r.X - r.W
	}
	return r
}

func (f *flight) line(l Line) Line {
	if f.mirror {
		for i := range l {
			l[i].X = f.mirrorX - l[i].X
		}
	}
	return l
}
