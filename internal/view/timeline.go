package view

import (
	"slices"
	"time"

	"newel/internal/chart"
	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/newel"
)

// Timeline is the path of one role of an assignment: its placements in order of
// their start.
type Timeline struct {
	T      *message.Printer
	Stays  []TimelineStay
	Pauses []newel.Day // on which teaching was paused
	Events []TimelineEvent
}

// TimelineStay is one placement of a timeline.
type TimelineStay struct {
	Stay
	Label  string // of the step, short: K3
	Note   string // text under the label
	Change bool   // the same step as before, with something changed
	Open   bool   // the placement is open
	Here   bool   // the page shows this placement
}

// TimelineEvent is a decision made while a placement was open.
type TimelineEvent struct {
	Stay int // index
	At   time.Time
	Text string
}

// GapDays is the distance in days from which two sessions are not joined by a
// line. Weekly sessions are 7 days apart and may slip by a few days; from
// GapDays on, one was missed. (Not connecting points across missing sessions is
// common practice.)
const GapDays = 11

// Panels splits a timeline into runs of placements whose values share an axis:
// percentages are never drawn over seconds.
func (c Timeline) Panels() []Timeline {
	var panels []Timeline
	for i, s := range c.Stays {
		n := len(panels)
		if n == 0 || c.Stays[i-1].scale() != s.scale() {
			panels = append(panels, Timeline{T: c.T, Pauses: c.Pauses})
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

// scale identifies the axis of a placement's values.
func (s Stay) scale() string {
	if s.Criterion.Goal.Measure.Percent() {
		return "percent"
	}
	return unitOf(s.Criterion.Goal.Measure)
}

// here returns the placement that the page shows, or the last one.
func (c Timeline) here() TimelineStay {
	for _, s := range c.Stays {
		if s.Here {
			return s
		}
	}
	return c.Stays[len(c.Stays)-1]
}

// Has reports whether the timeline contains the page's placement.
func (c Timeline) Has() bool { return len(c.Stays) > 0 && c.here().Here }

// Axis returns the name of the y axis.
func (c Timeline) Axis() string { return c.here().Axis() }

// Sessions lists all sessions, in order of placements.
func (c Timeline) Sessions() []Recorded {
	var all []Recorded
	for _, s := range c.Stays {
		all = append(all, s.Sessions...)
	}
	return all
}

// StayOf returns the placement of the nth session of Sessions.
func (c Timeline) StayOf(n int) TimelineStay {
	for _, s := range c.Stays {
		if n < len(s.Sessions) {
			return s
		}
		n -= len(s.Sessions)
	}
	return TimelineStay{}
}

// Latest returns the timeline with only its last n sessions.
func (c Timeline) Latest(n int) Timeline {
	drop := len(c.Sessions()) - n
	stays := slices.Clone(c.Stays)
	for i := range stays {
		cut := min(max(drop, 0), len(stays[i].Sessions))
		stays[i].Sessions, drop = stays[i].Sessions[cut:], drop-cut
	}
	c.Stays = stays
	return c
}

// Caption returns a line that explains the axis and the shapes of people.
func (c Timeline) Caption() string {
	text := c.T.Text("graph.axis_" + axisOf(c.here().Criterion.Goal))
	if people := c.People(); len(people) > 1 && people[0] != "" && people[1] != "" {
		text += " " + c.T.Text("graph.two_people", "first", people[0], "second", people[1])
	}
	return text
}

// who numbers the people in the order in which they first taught.
func (c Timeline) who() map[string]int { return numbered(c.Sessions()) }

func numbered(sessions []Recorded) map[string]int {
	who := map[string]int{}
	for _, r := range sessions {
		if _, known := who[r.By]; !known {
			who[r.By] = len(who)
		}
	}
	return who
}

// People lists the people who taught, in the order in which they first did.
func (c Timeline) People() []string { return listed(c.who()) }

func listed(who map[string]int) []string {
	names := make([]string, len(who))
	for name, i := range who {
		names[i] = name
	}
	return names
}

// gapBefore reports whether the path breaks before a session: after many days
// without one, or over a pause.
func (c Timeline) gapBefore(last, next newel.Day) bool {
	if next.Sub(last) >= GapDays {
		return true
	}
	return slices.ContainsFunc(c.Pauses, func(d newel.Day) bool { return !d.Before(last) && d.Before(next) })
}

// Graph returns a timeline with one scale as numbers for a drawing, with its
// sessions evenly spaced or by date.
func (c Timeline) Graph(byDay bool) chart.GraphData {
	d := chart.GraphData{Top: 100, Every: 20, NoName: c.T.Text("stop.graph_band")}
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

// bracket marks the sessions that met the criterion.
func (c Timeline) bracket(s TimelineStay, first int) []chart.Bracket {
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
		return nil // the page no longer shows the sessions that met it
	}
	return []chart.Bracket{b}
}

func (c Timeline) events() []chart.Event {
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

// dayNames is the approximate number of dates under a graph by date.
const dayNames = 9

// byDay positions the sessions by date. A session that arrived after its
// placement ended is drawn at the end of the placement.
func (c Timeline) byDay(d *chart.GraphData) {
	sessions := c.Sessions()
	if len(sessions) == 0 {
		return
	}
	start, last := sessions[0].Day, 0
	for _, r := range sessions {
		last = max(last, r.Day.Sub(start))
		d.Days = append(d.Days, last)
	}
	for len(d.Days) < len(d.Sessions) { // the position of a placement without sessions
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

// Name returns the graph's numbers as text for a screen reader.
func (c Timeline) Name() string {
	var all []string
	for i, r := range c.Sessions() {
		all = append(all, c.StayOf(i).Drawn(r))
	}
	return c.T.Text("graph.name", "n", len(all), "results", c.T.List(all))
}

// SplitPart is the result of one person's sessions, or of sessions at one
// place.
type SplitPart struct {
	Key   string // what SplitBy split by
	Name  string
	Total string // "18 of 23"; empty where counts mean nothing
	Data  chart.GraphData
}

// SplitBy splits the page's sessions with these ids by a property, in order of
// its first appearance. If ids is nil, it splits all counted sessions that have
// the property.
func (c Timeline) SplitBy(of func(Recorded) string, ids []string) []SplitPart {
	s, from := c.here(), c.before()
	if ids != nil {
		s.Sessions = s.WithIDs(ids)
	}
	var numbers []int
	for i, r := range c.here().Sessions {
		if ids == nil || slices.Contains(ids, r.Of.ID) {
			numbers = append(numbers, from+i+1)
		}
	}
	var keys []string
	for _, r := range s.Sessions {
		if key := of(r); (key != "" || ids != nil) && r.Read.Counted && !slices.Contains(keys, key) {
			keys = append(keys, key)
		}
	}
	data, who := s.Graph(), c.who()
	data.Numbers = numbers
	for i, r := range s.Sessions {
		data.Sessions[i].Who = who[r.By]
	}
	parts := make([]SplitPart, len(keys))
	for i, key := range keys {
		parts[i] = SplitPart{Key: key, Data: data}
		parts[i].Data.Sessions = slices.Clone(data.Sessions)
		for j, r := range s.Sessions {
			if of(r) != key {
				parts[i].Data.Sessions[j] = chart.Session{Aside: true}
			}
		}
	}
	return parts
}

// before counts the sessions before the page's placement.
func (c Timeline) before() int {
	n := 0
	for _, s := range c.Stays {
		if s.Here {
			break
		}
		n += len(s.Sessions)
	}
	return n
}

// RestedOn lists the counted sessions behind the reading's reasons, or all of
// them if there is no reason.
func (s Stay) RestedOn() []Recorded {
	f, _ := s.Leading()
	ids := f.Sessions
	if s.Said.Status == criterion.StatusMet {
		ids = s.Met()
	}
	var out []Recorded
	for _, r := range s.Sessions {
		if r.Read.Counted && (ids == nil || slices.Contains(ids, r.Of.ID)) {
			out = append(out, r)
		}
	}
	return out
}
