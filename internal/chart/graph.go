package chart

import (
	"math"
	"slices"
)

// PointKind is how a session appears in a graph.
type PointKind int

// Kinds of points. The zero value is a counted session.
const (
	Judged   PointKind = iota
	LeftOut            // too few trials, or excluded: drawn faint, never on the path
	WithHelp           // correct with help, as the step's criterion defines it
	Probe              // outside teaching: never on the path
	Check              // maintenance check of a mastered step: never on the path
)

// A Session is one position on the x axis, in order.
type Session struct {
	Value float64 // in the graph's unit
	None  bool    // nothing was measured; the position is empty
	Kind  PointKind
	Who   int  // 0 for the first person (circle), 1 for the second (square), 2 and up: the same again, hollow
	No    bool // the child said no: two bars in the band under zero mark the position, whatever was measured
	Gap   bool // days without a session before this one: the path and the axis are broken
	// Aside: the position belongs to someone else's session. Nothing is drawn,
	// and the path skips it.
	Aside bool
	// Empty: no session yet. The position holds a phase without sessions open,
	// with neither tick nor number.
	Empty bool
}

// A Bracket groups sessions from above or below and labels them.
type Bracket struct {
	From, To int // indices of the first and last session
	Label    string
}

// An Event is a numbered mark under the axis, between two sessions.
type Event struct {
	Before int // index of the session after it; the number of sessions if it comes last
	N      int
}

// A Phase begins at one session and lasts until the next phase.
type Phase struct {
	From      int // index of its first session
	Change    bool
	Label     string
	Note      string
	Criterion *float64 // nil: no line
}

// GraphData is the content of a graph.
type GraphData struct {
	Sessions []Session
	Phases   []Phase // in order; the first should begin at session 0
	Top      float64 // the value at the top of the y axis, more than 0
	Every    float64 // distance between labeled values on the y axis of a wide graph, more than 0
	Numbers  []int   // the sessions' own numbers; nil: from 1
	// Days places the sessions by date: whole days since the first, never
	// decreasing. nil: evenly spaced.
	Days     []int
	DayNames []DayName // under the axis, with Days
	Brackets []Bracket
	Events   []Event
	NoName   string // name of the band with the child's nos, beside the y axis
}

// hasNo reports whether the graph needs the band with the child's nos.
func (d GraphData) hasNo() bool {
	return slices.ContainsFunc(d.Sessions, func(s Session) bool { return s.No && !s.Aside })
}

// A DayName is a date to write under the axis.
type DayName struct {
	Day  int // since the first
	Name string
}

// A Mark is a drawn session.
type Mark struct {
	Point
	Session int // index into the data
	Kind    PointKind
	Who     int
	Radius  float64 // half of its width, before squares are adjusted to the area of circles
	No      bool    // draw only the two bars here, in the band
}

// A PhaseLine separates two phases: solid for a different step, dashed for a
// change within a step.
type PhaseLine struct {
	X, From, To float64
	Change      bool
}

// A Graph is a graph ready to draw.
type Graph struct {
	Width, Height float64

	Axis      Line
	Ticks     []Line
	YLabels   []Text // to go beside the axis
	XLabels   []Text // to be centered under it
	Criterion []Line
	CritLabel []Text // small graph: at the end of the line
	Phases    []PhaseLine
	Names     []Text // of phases, centered
	Notes     []Text // under the names, centered
	Cuts      []Point
	Path      []Line
	Band      Line // the upper edge of the band with the child's nos; nil if there are none
	Marks     []Mark
	Brackets  []Line
	BrackText []Text // under or over them, centered
	Events    []EventMark
}

// An EventMark is a drawn event: a short tread with its number over it.
type EventMark struct {
	Point
	N int
}

// plot positions values in a drawing.
type plot struct {
	data        GraphData
	left, right float64 // x of the first and last position
	top, zero   float64 // y of the greatest value and of zero
	axis        float64 // y of the x axis, below zero so that a value of 0 stays visible
	band        float64 // height of the band over the x axis with the child's nos; 0 for none
	radius      float64
	gap         float64 // how far the axis extends beyond the positions
	xs          []float64
}

// banded adds a band over the x axis if the child said no in a session. A no is
// not a value, so it is drawn below all of them.
func (p plot) banded(height float64) plot {
	if p.data.hasNo() {
		p.band = height
		p.axis += height
	}
	return p
}

// bandLine returns the upper edge of the band, from the y axis to x.
func (p plot) bandLine(from, to float64) Line {
	if p.band == 0 {
		return nil
	}
	return Line{{from, p.axis - p.band}, {to, p.axis - p.band}}
}

// bandName returns the name of the band, at its middle beside the y axis.
func (p plot) bandName(x float64) []Text {
	if p.band == 0 || p.data.NoName == "" {
		return nil
	}
	return []Text{{x, p.axis - p.band/2 + 4, p.data.NoName}}
}

// placed computes the positions of the sessions.
func (p plot) placed() plot {
	n := len(p.data.Sessions)
	p.xs = make([]float64, n)
	for i := range p.xs {
		switch {
		case n == 1:
			p.xs[i] = (p.left + p.right) / 2
		case len(p.data.Days) == n:
			p.xs[i] = p.dayX(p.dayOf(i))
		default:
			p.xs[i] = p.left + float64(i)*(p.right-p.left)/float64(n-1)
		}
	}
	return p
}

// dayOf returns the day of a session; several sessions on one day divide it
// evenly.
func (p plot) dayOf(i int) float64 {
	before, same := 0, 0
	for j, d := range p.data.Days {
		if d == p.data.Days[i] {
			same++
			if j < i {
				before++
			}
		}
	}
	return float64(p.data.Days[i]) + 0.8*float64(before)/float64(same)
}

// dayX returns the x of a day between the first and the last.
func (p plot) dayX(day float64) float64 {
	span := float64(p.data.Days[len(p.data.Days)-1]) + 0.8
	return p.left + day*(p.right-p.left)/span
}

func (p plot) x(i int) float64 { return p.xs[i] }

// y returns the y of a value; a value above the scale is drawn at the top.
func (p plot) y(value float64) float64 {
	share := math.Max(0, math.Min(1, value/p.data.Top))
	return p.zero - share*(p.zero-p.top)
}

// between returns the x of the line before session i.
func (p plot) between(i int) float64 {
	switch n := len(p.xs); {
	case i <= 0:
		return p.left - p.gap
	case i >= n:
		return p.x(n-1) + p.gap
	}
	return (p.x(i-1) + p.x(i)) / 2
}

// onPath reports whether the path runs through a session.
func onPath(s Session) bool {
	return !s.None && !s.No && (s.Kind == Judged || s.Kind == WithHelp)
}

// path joins adjacent sessions. It breaks where a phase begins, over days
// without a session, and at sessions that are not on it.
func (p plot) path() []Line {
	starts := map[int]bool{}
	for _, phase := range p.data.Phases {
		starts[phase.From] = true
	}
	var lines []Line
	var run Line
	flush := func() {
		if len(run) > 1 {
			lines = append(lines, run)
		}
		run = nil
	}
	for i, s := range p.data.Sessions {
		if s.Gap || starts[i] || !s.Aside && !onPath(s) {
			flush()
		}
		if !s.Aside && onPath(s) {
			run = append(run, Point{p.x(i), p.y(s.Value)})
		}
	}
	flush()
	return lines
}

func (p plot) marks() []Mark {
	var marks []Mark
	for i, s := range p.data.Sessions {
		m := Mark{Session: i, Kind: s.Kind, Who: s.Who, Radius: p.radius, No: s.No}
		switch {
		case s.Aside, s.Empty, s.None && !s.No:
			continue
		case s.No:
			m.Point, m.Radius = Point{p.x(i), p.axis - p.band/2}, p.band/4
		default:
			m.Point = Point{p.x(i), p.y(s.Value)}
		}
		marks = append(marks, m)
	}
	return marks
}

// criteria returns the dashed lines, one for each phase that has a criterion,
// with a small gap at phase lines.
func (p plot) criteria(air float64, end float64) []Line {
	var lines []Line
	for i, phase := range p.data.Phases {
		if phase.Criterion == nil {
			continue
		}
		from, to := p.between(phase.From)+air, end
		if i+1 < len(p.data.Phases) {
			to = p.between(p.data.Phases[i+1].From) - air
		}
		y := p.y(*phase.Criterion)
		lines = append(lines, Line{{from, y}, {to, y}})
	}
	return lines
}

func (p plot) phaseLines(from, to float64) []PhaseLine {
	var lines []PhaseLine
	for _, phase := range p.data.Phases {
		if phase.From > 0 {
			lines = append(lines, PhaseLine{p.between(phase.From), from, to, phase.Change})
		}
	}
	return lines
}

func (p plot) cuts() []Point {
	var cuts []Point
	for i, s := range p.data.Sessions {
		if s.Gap && i > 0 && p.data.Days == nil { // by date, days without a session are visible anyway
			x := p.between(i)
			if slices.ContainsFunc(p.data.Phases, func(f Phase) bool { return f.From == i }) {
				x -= 2.4 * p.radius // not on the line between the phases
			}
			cuts = append(cuts, Point{x, p.axis})
		}
	}
	return cuts
}

// brackets go under the sessions that they group, or over them if there is no
// room.
func (p plot) brackets() (lines []Line, texts []Text) {
	for _, b := range p.data.Brackets {
		low, high := p.top, p.zero
		for i := b.From; i <= b.To; i++ {
			if s := p.data.Sessions[i]; !s.None && !s.Aside && !s.No {
				low, high = math.Max(low, p.y(s.Value)), math.Min(high, p.y(s.Value))
			}
		}
		from, to := p.x(b.From)-p.radius, p.x(b.To)+p.radius
		y, foot, text := low+20, -7.0, 16.0
		if y > p.zero-24 {
			y, foot, text = high-16, 7, -7
		}
		if c := p.criterionAt(b.From); c != nil && math.Abs(y+text-4-p.y(*c)) < 10 {
			y += 14 // the word would overlap the criterion line
		}
		lines = append(lines, Line{{from, y + foot}, {from, y}, {to, y}, {to, y + foot}})
		texts = append(texts, Text{(from + to) / 2, y + text, b.Label})
	}
	return lines, texts
}

// criterionAt returns the criterion of the phase that a session belongs to.
func (p plot) criterionAt(session int) (at *float64) {
	for _, f := range p.data.Phases {
		if f.From <= session {
			at = f.Criterion
		}
	}
	return at
}

// events go under the numbers of the axis; several before one session go side
// by side.
func (p plot) events(y float64) []EventMark {
	var marks []EventMark
	same := map[int]int{}
	for _, e := range p.data.Events {
		x := p.between(e.Before) + 20*float64(same[e.Before])
		if e.Before <= 0 {
			x = p.left - p.gap/2 + 20*float64(same[e.Before])
		}
		same[e.Before]++
		marks = append(marks, EventMark{Point{x, y}, e.N})
	}
	return marks
}
