package view

import (
	"slices"
	"time"

	"newel/internal/chart"
	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/newel"
)

// Course is what one role of an assignment has come through: its stays on
// steps, in the order in which they began.
type Course struct {
	T      *message.Printer
	Stays  []CourseStay
	Pauses []newel.Day // on which teaching was paused
	Events []CourseEvent
}

// CourseStay is one stay of a course.
type CourseStay struct {
	Stay
	Label  string // of the step, short: K3
	Note   string // what is told under the label
	Change bool   // the same step as before, under something changed
	Open   bool   // it goes on
	Here   bool   // the page is about this one
}

// CourseEvent is something that was decided while a stay went on.
type CourseEvent struct {
	Stay int // index
	At   time.Time
	Text string
}

// GapDays is how far apart two sessions are that no line joins. Weekly
// sessions lie 7 days apart and may slip by a few; from here on one was
// missed. (Not to join over missing sessions is common practice.)
const GapDays = 11

// Panels parts a course into runs of stays whose values stand on the same
// axis: percentages are never drawn over seconds.
func (c Course) Panels() []Course {
	var panels []Course
	for i, s := range c.Stays {
		n := len(panels)
		if n == 0 || c.Stays[i-1].scale() != s.scale() {
			panels = append(panels, Course{T: c.T, Pauses: c.Pauses})
			n++
		}
		for _, e := range c.Events {
			if e.Stay == i {
				e.Stay = len(panels[n-1].Stays)
				panels[n-1].Events = append(panels[n-1].Events, e)
			}
		}
		panels[n-1].Stays = append(panels[n-1].Stays, s)
	}
	return panels
}

// scale says on which axis the values of a stay stand.
func (s Stay) scale() string {
	if s.Criterion.Goal.Measure.Percent() {
		return "percent"
	}
	return unitOf(s.Criterion.Goal.Measure)
}

// here is the stay that the page is about, or the last.
func (c Course) here() CourseStay {
	for _, s := range c.Stays {
		if s.Here {
			return s
		}
	}
	return c.Stays[len(c.Stays)-1]
}

// Has reports whether the page's stay is among them.
func (c Course) Has() bool { return len(c.Stays) > 0 && c.here().Here }

// Axis names the y axis.
func (c Course) Axis() string { return c.here().Axis() }

// Sessions lists every session, in order of stays.
func (c Course) Sessions() []Recorded {
	var all []Recorded
	for _, s := range c.Stays {
		all = append(all, s.Sessions...)
	}
	return all
}

// StayOf gives the stay of the nth session of Sessions.
func (c Course) StayOf(n int) CourseStay {
	for _, s := range c.Stays {
		if n < len(s.Sessions) {
			return s
		}
		n -= len(s.Sessions)
	}
	return CourseStay{}
}

// Latest is a course with only its last n sessions.
func (c Course) Latest(n int) Course {
	drop := len(c.Sessions()) - n
	stays := slices.Clone(c.Stays)
	for i := range stays {
		cut := min(max(drop, 0), len(stays[i].Sessions))
		stays[i].Sessions, drop = stays[i].Sessions[cut:], drop-cut
	}
	c.Stays = stays
	return c
}

// Caption says what the axis is and who the shapes are.
func (c Course) Caption() string {
	text := c.T.Text("graph.axis_" + axisOf(c.here().Criterion.Goal))
	if people := c.People(); len(people) > 1 && people[0] != "" && people[1] != "" {
		text += " " + c.T.Text("graph.two_people", "first", people[0], "second", people[1])
	}
	return text
}

// who numbers the people in the order in which they first taught.
func (c Course) who() map[string]int { return numbered(c.Sessions()) }

func numbered(sessions []Recorded) map[string]int {
	who := map[string]int{}
	for _, r := range sessions {
		if _, known := who[r.By]; !known {
			who[r.By] = len(who)
		}
	}
	return who
}

// People lists who taught, in the order in which they first did.
func (c Course) People() []string { return listed(c.who()) }

func listed(who map[string]int) []string {
	names := make([]string, len(who))
	for name, i := range who {
		names[i] = name
	}
	return names
}

// gapBefore reports whether the path breaks before a session: over many days
// without one, or over a pause.
func (c Course) gapBefore(last, next newel.Day) bool {
	if next.Sub(last) >= GapDays {
		return true
	}
	return slices.ContainsFunc(c.Pauses, func(d newel.Day) bool { return !d.Before(last) && d.Before(next) })
}

// Graph gives a course of one scale as numbers for a drawing, its sessions
// evenly spaced or by date.
func (c Course) Graph(byDay bool) chart.GraphData {
	d := chart.GraphData{Top: 100, Every: 20}
	if c.here().scale() != "percent" {
		d.Top = 0
		for _, s := range c.Stays {
			d.Top = max(d.Top, s.top(s.Criterion.Goal.Limit().Float64()))
		}
		d.Every = d.Top / 4
	}
	who := c.who()
	var before *Recorded
	for i, s := range c.Stays {
		first := len(d.Sessions)
		for j := range s.Sessions {
			r := &s.Sessions[j]
			p := s.point(*r, d.Top)
			p.Who, p.Gap = who[r.By], before != nil && c.gapBefore(before.Day, r.Day)
			d.Sessions, d.Numbers = append(d.Sessions, p), append(d.Numbers, len(d.Numbers)+1)
			before = r
		}
		if len(s.Sessions) == 0 && s.Open && i == len(c.Stays)-1 {
			d.Sessions, d.Numbers = append(d.Sessions, chart.Session{None: true, Empty: true}), append(d.Numbers, 0)
		}
		if len(d.Sessions) > first {
			limit := s.Criterion.Goal.Limit().Float64()
			d.Phases = append(d.Phases, chart.Phase{From: first, Change: s.Change, Label: s.Label, Note: s.Note, Criterion: &limit})
			d.Brackets = append(d.Brackets, c.bracket(s, first)...)
		}
	}
	d.Events = c.events()
	if byDay {
		c.byDay(&d)
	}
	return d
}

// bracket holds the sessions together that met the criterion.
func (c Course) bracket(s CourseStay, first int) []chart.Bracket {
	met := s.Met()
	if len(met) == 0 {
		return nil
	}
	b := chart.Bracket{From: -1, Label: c.T.Text("graph.met")}
	for i, r := range s.Sessions {
		if slices.Contains(met, r.Of.ID) {
			if b.From < 0 {
				b.From = first + i
			}
			b.To = first + i
		}
	}
	if b.From < 0 {
		return nil // it was met by sessions that the page no longer shows
	}
	return []chart.Bracket{b}
}

func (c Course) events() []chart.Event {
	var events []chart.Event
	for n, e := range c.Events {
		at := 0
		for i, s := range c.Stays {
			for _, r := range s.Sessions {
				if i < e.Stay || i == e.Stay && !r.Of.EndedAt.After(e.At) {
					at++
				}
			}
		}
		events = append(events, chart.Event{Before: at, N: n + 1})
	}
	return events
}

// dayNames is about how many dates are written under a graph by date.
const dayNames = 9

// byDay places the sessions by date. One that came late for a stay that had
// ended stands where that ended.
func (c Course) byDay(d *chart.GraphData) {
	sessions := c.Sessions()
	if len(sessions) == 0 {
		return
	}
	start, last := sessions[0].Day, 0
	for _, r := range sessions {
		last = max(last, r.Day.Sub(start))
		d.Days = append(d.Days, last)
	}
	for len(d.Days) < len(d.Sessions) { // the place of a stay without a session
		last++
		d.Days = append(d.Days, last)
	}
	every := max(1, (last+dayNames-1)/dayNames)
	if every > 3 {
		every = (every + 6) / 7 * 7 // whole weeks, so that weekdays can be compared
	}
	for day := 0; day <= last; day += every {
		d.DayNames = append(d.DayNames, chart.DayName{Day: day, Name: c.T.DayShort(start.AddDays(day))})
	}
}

// Name says the graph's numbers for a screen reader.
func (c Course) Name() string {
	var all []string
	for i, r := range c.Sessions() {
		all = append(all, c.StayOf(i).Result(r))
	}
	return c.T.Text("graph.name", "n", len(all), "results", c.T.List(all))
}

// SplitPart is what one person saw, or what came of sessions at one place.
type SplitPart struct {
	Name  string
	Total string // "18 of 23"; empty where counts say nothing
	Data  chart.GraphData
}

// SplitBy parts the sessions of the page's stay by something that they name;
// nil if all that name it name the same.
func (c Course) SplitBy(of func(Recorded) string) []SplitPart {
	s := c.here()
	var names []string
	for _, r := range s.Sessions {
		if name := of(r); name != "" && r.Read.Counted && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if len(names) < 2 {
		return nil
	}
	data, who := s.Graph(), c.who()
	for i, r := range s.Sessions {
		data.Sessions[i].Who = who[r.By]
		data.Numbers = append(data.Numbers, c.before()+i+1)
	}
	parts := make([]SplitPart, len(names))
	for i, name := range names {
		parts[i] = SplitPart{Name: name, Total: s.pooled(of, name), Data: data}
		parts[i].Data.Sessions = slices.Clone(data.Sessions)
		for j, r := range s.Sessions {
			if of(r) != name {
				parts[i].Data.Sessions[j] = chart.Session{Aside: true}
			}
		}
	}
	return parts
}

// before counts the sessions before the page's stay.
func (c Course) before() int {
	n := 0
	for _, s := range c.Stays {
		if s.Here {
			break
		}
		n += len(s.Sessions)
	}
	return n
}

// pooled counts the correct among the scored trials of the counted sessions.
func (s Stay) pooled(of func(Recorded) string, name string) string {
	if s.Criterion.Goal.Measure != criterion.Accuracy {
		return ""
	}
	correct, scored := 0, 0
	for _, r := range s.Sessions {
		if of(r) == name && r.Read.Counted {
			c, n := s.tally(r)
			correct, scored = correct+c, scored+n
		}
	}
	return s.T.OutOf(correct, scored)
}

// ByPerson and ByPlace are what SplitBy takes.
func ByPerson(r Recorded) string { return r.By }

// ByPlace gives the place of a session.
func ByPlace(r Recorded) string { return r.Of.Place }

// RestedOn lists the counted sessions that the reading's reasons rest on: all
// of them while no reason is given.
func (s Stay) RestedOn() []Recorded {
	var ids []string
	switch {
	case s.Said.Status == criterion.StatusMet:
		ids = s.Met()
	case len(s.Said.Flags) > 0:
		ids = s.Said.Flags[0].Sessions
	}
	var out []Recorded
	for _, r := range s.Sessions {
		if r.Read.Counted && (ids == nil || slices.Contains(ids, r.Of.ID)) {
			out = append(out, r)
		}
	}
	return out
}
