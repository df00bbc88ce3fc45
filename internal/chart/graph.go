package chart

import (
	"math"
	"slices"
)

// PointKind says how a session enters a graph.
type PointKind int

// Kinds of points. The zero value is a session that was judged.
const (
	Judged   PointKind = iota
	LeftOut            // too few trials, or put aside: shown faint, never on the path
	WithHelp           // counted with help, as the step's criterion says
	Probe              // away from teaching: never on the path
	Check              // of a step climbed earlier: never on the path
)

// A Session is one place on the x axis, in order.
type Session struct {
	Value float64 // in the graph's unit
	None  bool    // nothing was measured; the place stays empty but for a no
	Kind  PointKind
	Who   int  // 0 for the first person (circle), 1 for the second (square), 2 and more: the same again, hollow
	No    bool // the session was ended by the child's no: two bars stand at the place
	Gap   bool // days without a session before this one: the path breaks and the axis is cut
	// Aside: the place belongs to somebody else's session. Nothing is drawn,
	// and the path passes over it.
	Aside bool
	// Empty: nothing happened here yet. The place keeps a phase open that has
	// no session, without tick and number.
	Empty bool
}

// A Bracket holds sessions together from above or below, with a word.
type Bracket struct {
	From, To int // indices of the first and last session
	Label    string
}

// An Event is a numbered mark under the axis, between two sessions.
type Event struct {
	Before int // index of the session that it stands before; the number of sessions: after the last
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

// GraphData is what a graph shows.
type GraphData struct {
	Sessions []Session
	Phases   []Phase // in order; the first should begin at session 0
	Top      float64 // the value at the top of the y axis, more than 0
	Every    float64 // distance of the labelled values on the y axis of a wide graph, more than 0
	Numbers  []int   // the sessions' own numbers; nil: from 1
	// Days places the sessions by date: whole days since the first, never
	// falling. nil: evenly spaced.
	Days     []int
	DayNames []DayName // under the axis, with Days
	Brackets []Bracket
	Events   []Event
}

// A DayName is a date to be written under the axis.
type DayName struct {
	Day  int // since the first
	Name string
}

// A Mark is one session drawn.
type Mark struct {
	Point
	Session int // index into the data
	Kind    PointKind
	Who     int
	Radius  float64 // half of its width, before the area of squares is made equal to that of circles
	No      bool    // draw the two bars here, and nothing else
}

// A PhaseLine parts two phases: solid for another step, dashed for a change on the same.
type PhaseLine struct {
	X, From, To float64
	Change      bool
}

// A Graph is a graph ready to be drawn.
type Graph struct {
	Width, Height float64

	Axis      Line
	Ticks     []Line
	YLabels   []Text // to stand before the axis
	XLabels   []Text // to stand centred under it
	Criterion []Line
	CritLabel []Text // small graph: at the end of the line
	Phases    []PhaseLine
	Names     []Text // of phases, centred
	Notes     []Text // under the names, centred
	Cuts      []Point
	Path      []Line
	Marks     []Mark
	Brackets  []Line
	BrackText []Text // under or over them, centred
	Events    []EventMark
}

// An EventMark is an event drawn: a short tread with its number over it.
type EventMark struct {
	Point
	N int
}

// plot places values in a drawing.
type plot struct {
	data        GraphData
	left, right float64 // x of the first and last place
	top, zero   float64 // y of the greatest value and of nought
	axis        float64 // y of the x axis, a little under nought, so that a value of 0 is not lost in it
	radius      float64
	gap         float64 // how far the axis reaches over the places
	xs          []float64
}

// placed works out where the sessions stand.
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

// dayOf is the day of a session; several of one day share it out evenly.
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

// dayX places a day between the first and the last.
func (p plot) dayX(day float64) float64 {
	span := float64(p.data.Days[len(p.data.Days)-1]) + 0.8
	return p.left + day*(p.right-p.left)/span
}

func (p plot) x(i int) float64 { return p.xs[i] }

// y places a value; what lies above the scale is drawn at its top.
func (p plot) y(value float64) float64 {
	share := math.Max(0, math.Min(1, value/p.data.Top))
	return p.zero - share*(p.zero-p.top)
}

// between is the x of the line before session i.
func (p plot) between(i int) float64 {
	switch n := len(p.xs); {
	case i <= 0:
		return p.left - p.gap
	case i >= n:
		return p.x(n-1) + p.gap
	}
	return (p.x(i-1) + p.x(i)) / 2
}

// onPath says whether the line of the path runs through a session.
func onPath(s Session) bool {
	return !s.None && (s.Kind == Judged || s.Kind == WithHelp)
}

// path joins neighbouring sessions; it breaks where a phase begins, over days without a session, and at whatever is
// not on it.
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
		case s.None:
			m.Point = Point{p.x(i), p.zero}
		default:
			m.Point = Point{p.x(i), p.y(s.Value)}
		}
		marks = append(marks, m)
	}
	return marks
}

// criteria are the dashed lines, one for each phase that has a criterion, with a little air at phase lines.
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
		if s.Gap && i > 0 && p.data.Days == nil { // by date, the days without a session are there to be seen
			x := p.between(i)
			if slices.ContainsFunc(p.data.Phases, func(f Phase) bool { return f.From == i }) {
				x -= 2.4 * p.radius // not on the line between the phases
			}
			cuts = append(cuts, Point{x, p.axis})
		}
	}
	return cuts
}

// brackets stand under the sessions that they hold, or over them where there
// is no room.
func (p plot) brackets() (lines []Line, texts []Text) {
	for _, b := range p.data.Brackets {
		low, high := p.top, p.zero
		for i := b.From; i <= b.To; i++ {
			if s := p.data.Sessions[i]; !s.None && !s.Aside {
				low, high = math.Max(low, p.y(s.Value)), math.Min(high, p.y(s.Value))
			}
		}
		from, to := p.x(b.From)-p.radius, p.x(b.To)+p.radius
		y, foot, text := low+20, -7.0, 16.0
		if y > p.zero-24 {
			y, foot, text = high-16, 7, -7
		}
		if c := p.criterionAt(b.From); c != nil && math.Abs(y+text-4-p.y(*c)) < 10 {
			y += 14 // the word would stand on the criterion's line
		}
		lines = append(lines, Line{{from, y + foot}, {from, y}, {to, y}, {to, y + foot}})
		texts = append(texts, Text{(from + to) / 2, y + text, b.Label})
	}
	return lines, texts
}

// criterionAt is the criterion of the phase that a session lies in.
func (p plot) criterionAt(session int) (at *float64) {
	for _, f := range p.data.Phases {
		if f.From <= session {
			at = f.Criterion
		}
	}
	return at
}

// events stand under the numbers of the axis; several before one session
// stand side by side.
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
