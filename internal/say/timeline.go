package say

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"newel/internal/chart"
	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/timezone"
	"newel/internal/view"
)

// timelinesOf returns one timeline for each role of the assignment, the page's own
// role first.
func timelinesOf(t *message.Printer, p reading.Progress) []view.Timeline {
	var keys []string
	for _, s := range p.Stays {
		if s.StrandKey != p.Placement.StrandKey && !slices.Contains(keys, s.StrandKey) {
			keys = append(keys, s.StrandKey)
		}
	}
	var timelines []view.Timeline
	for _, key := range append([]string{p.Placement.StrandKey}, keys...) {
		timelines = append(timelines, timelineOf(t, p, key))
	}
	return timelines
}

func timelineOf(t *message.Printer, p reading.Progress, strand string) view.Timeline {
	zone := timezone.OrUTC(p.Family.TimeZone)
	c := view.Timeline{T: t}
	at := map[newel.PlacementID]int{}
	var before *reading.Stay
	for i := range p.Stays {
		s := &p.Stays[i]
		if s.StrandKey != strand {
			continue
		}
		at[s.ID] = len(c.Stays)
		stay := view.TimelineStay{
			Stay:  stayOf(t, s.Criterion, s.Version.Document.HelpNames(), s.Said, s.Sessions).Calling(s.Step.Targets),
			Label: s.Step.Label, Open: s.EndedAt == nil, Here: s.ID == p.Placement.ID,
		}
		stay.Change, stay.Note = changed(t, before, s)
		c.Stays, before = append(c.Stays, stay), s
	}
	for _, d := range slices.Backward(p.Decisions) {
		if d.Kind == newel.DecisionPause || d.Kind == newel.DecisionResume {
			c.Pauses = append(c.Pauses, newel.DayOf(d.DecidedAt, zone))
		}
		if i, here := at[d.PlacementID]; here && !d.Kind.Closes() && (d.Reason != "" || d.Kind == newel.DecisionPause || d.Kind == newel.DecisionResume || d.Kind.HelpStep() != 0) {
			text := t.Text("progress.event", "day", t.DayShort(newel.DayOf(d.DecidedAt, zone)), "kind", helpDecided(t, d, t.Text("decide."+string(d.Kind))))
			if d.Reason != "" {
				text += " " + clipped(d.Reason)
			}
			c.Events = append(c.Events, view.TimelineEvent{Stay: i, At: d.DecidedAt, Text: text})
		}
	}
	return c
}

// changed returns the text under a placement's label: what changed on the same
// step, or the step's title.
func changed(t *message.Printer, before, s *reading.Stay) (bool, string) {
	switch {
	case before == nil || before.StepKey != s.StepKey:
		return false, s.Step.Name
	case before.Version.Number != s.Version.Number:
		return true, t.Text("progress.version", "n", s.Version.Number)
	case before.Criterion != s.Criterion:
		return true, t.Text("progress.criterion_changed")
	}
	return true, t.Text("progress.again")
}

// clipped shortens a line that the page shows in full elsewhere.
func clipped(text string) string {
	const most = 90
	if letters := []rune(text); len(letters) > most {
		return strings.TrimSpace(string(letters[:most-1])) + "…"
	}
	return text
}

// graphsOf returns one graph for each role and kind of axis, the page's own
// first.
func graphsOf(t *message.Printer, p reading.Progress, l Look) []view.GraphModel {
	var graphs []view.GraphModel
	for _, timeline := range timelinesOf(t, p) {
		panels := timeline.Panels()
		slices.SortStableFunc(panels, func(a, b view.Timeline) int {
			if a.Has() == b.Has() {
				return 0
			}
			if a.Has() {
				return -1
			}
			return 1
		})
		for _, panel := range panels {
			if len(panel.Sessions()) == 0 {
				continue
			}
			g := graphOf(t, panel, l)
			g.ID = "g" + strconv.Itoa(len(graphs)+1)
			graphs = append(graphs, g)
		}
	}
	if len(graphs) > 1 {
		for i := range graphs {
			graphs[i].Heading = graphs[i].YTitle
		}
	}
	return graphs
}

func graphOf(t *message.Printer, c view.Timeline, l Look) view.GraphModel {
	g := view.GraphModel{
		Data: c.Graph(l.byDay), Title: c.Name(), YTitle: c.Axis(), XTitle: t.Text("graph.x"), Scroll: t.Text("graph.scroll"), Key: keyOf(t, c),
	}
	if l.byDay {
		g.XTitle = t.Text("graph.x_day")
	}
	for i, r := range c.Sessions() {
		at := c.StayOf(i)
		g.Sessions = append(g.Sessions, view.SessionText{Text: at.Label + ", " + sessionText(t, at.Stay, r), Href: r.Href})
	}
	for _, e := range c.Events {
		g.Events = append(g.Events, e.Text)
	}
	return g
}

func sessionText(t *message.Printer, stay view.Stay, r view.Recorded) string {
	text := t.Day(r.Day) + ": " + stay.Result(r)
	if r.By != "" {
		text += ", " + r.By
	}
	if note := sessionNote(t, r); note != "" {
		text += ", " + note
	}
	return text
}

// sessionNote returns why a session is not evaluated like the others, and other
// remarks about it.
func sessionNote(t *message.Printer, r view.Recorded) string {
	var notes []string
	switch left := r.LeftOut(t); {
	case left != "":
		notes = append(notes, left)
	case r.Read.Barred != criterion.NotBarred:
		notes = append(notes, t.Text("why."+string(r.Read.Barred)))
	}
	if r.SaidNo() {
		if r.Of.EndedEarly == criterion.EarlyDistress && r.Read.Barred == criterion.NotBarred {
			notes = append(notes, t.Text("why.distress"))
		}
		notes = append(notes, t.Text("stop.graph_why"))
	}
	if r.Later {
		notes = append(notes, t.Text("progress.afterwards"))
	}
	if r.Corrected > 0 {
		notes = append(notes, t.Text("progress.corrected", "n", r.Corrected))
	}
	return t.List(notes)
}

func keyOf(t *message.Printer, c view.Timeline) []view.KeyLine {
	var key []view.KeyLine
	for i, name := range c.People() {
		if name != "" && i < 2 {
			key = append(key, view.KeyLine{Shape: view.KeyFirst + view.KeyShape(i), Text: t.Text("graph.taught", "who", name)})
		}
	}
	if people := c.People(); len(people) > 2 {
		key = append(key, view.KeyLine{Shape: view.KeyOthers, Text: t.Text("graph.taught", "who", t.List(people[2:]))})
	}
	data := c.Graph(false)
	has := func(test func(chart.Session) bool) bool { return slices.ContainsFunc(data.Sessions, test) }
	for _, k := range []struct {
		shape view.KeyShape
		key   string
		kind  chart.PointKind
	}{
		{view.KeyHelp, "graph.key_help", chart.WithHelp},
		{view.KeyLeftOut, "graph.key_left_out", chart.LeftOut},
		{view.KeyProbe, "graph.key_probe", chart.Probe},
		{view.KeyCheck, "graph.key_check", chart.Check},
	} {
		if has(func(s chart.Session) bool { return s.Kind == k.kind && !s.No && !s.Empty }) {
			key = append(key, view.KeyLine{Shape: k.shape, Text: t.Text(k.key)})
		}
	}
	if has(func(s chart.Session) bool { return s.No }) {
		key = append(key, view.KeyLine{Shape: view.KeySaidNo, Text: t.Text("flag.distress")})
	}
	key = append(key, view.KeyLine{Shape: view.KeyCriterion, Text: t.Text("graph.key_criterion")})
	for i, phase := range data.Phases {
		if i > 0 && !phase.Change && !slices.ContainsFunc(key, func(k view.KeyLine) bool { return k.Shape == view.KeyStep }) {
			key = append(key, view.KeyLine{Shape: view.KeyStep, Text: t.Text("graph.key_step")})
		}
		if phase.Change && !slices.ContainsFunc(key, func(k view.KeyLine) bool { return k.Shape == view.KeyChange }) {
			key = append(key, view.KeyLine{Shape: view.KeyChange, Text: t.Text("graph.key_change")})
		}
	}
	return key
}

// tableLine is a session with its position in the table.
type tableLine struct {
	n  int
	at view.TimelineStay
	r  view.Recorded
}

// sortable lists the columns by which the table of sessions can be sorted.
var sortable = map[string]func(a, b tableLine) int{
	"n":     func(a, b tableLine) int { return a.n - b.n },
	"step":  func(a, b tableLine) int { return strings.Compare(a.at.Label, b.at.Label) },
	"day":   func(a, b tableLine) int { return a.r.Day.Sub(b.r.Day) },
	"who":   func(a, b tableLine) int { return strings.Compare(a.r.By, b.r.By) },
	"place": func(a, b tableLine) int { return strings.Compare(a.r.Place, b.r.Place) },
	"result": func(a, b tableLine) int {
		switch x, y := a.r.Read.Value, b.r.Read.Value; {
		case x == nil && y == nil:
			return 0
		case x == nil:
			return -1
		case y == nil:
			return 1
		case *x < *y:
			return -1
		case *x > *y:
			return 1
		}
		return 0
	},
}

var tableColumns = []string{"n", "step", "day", "who", "place", "result", "trials", "note"}

// sessionTable returns the numbers of the graphs as a table, in the requested
// order.
func sessionTable(t *message.Printer, timelines []view.Timeline, path string, l Look) *view.Table {
	var lines []tableLine
	for _, c := range timelines {
		for i, r := range c.Sessions() {
			lines = append(lines, tableLine{i + 1, c.StayOf(i), r})
		}
	}
	table := &view.Table{Label: t.Text("progress.sessions")}
	places := slices.ContainsFunc(lines, func(x tableLine) bool { return x.r.Place != "" })
	for _, name := range tableColumns {
		if name == "place" && !places {
			continue
		}
		c := view.Column{Label: t.Text("progress.col_" + name), Number: name == "result"}
		if sortable[name] != nil {
			next := Look{byDay: l.byDay, sort: name, down: l.sort == name && !l.down}
			c.Href = next.href(path, "sessions")
			if l.sort == name {
				c.Sorted = map[bool]string{false: "ascending", true: "descending"}[l.down]
			}
		}
		table.Columns = append(table.Columns, c)
	}
	if compare := sortable[l.sort]; compare != nil {
		slices.SortStableFunc(lines, func(a, b tableLine) int {
			if l.down {
				a, b = b, a
			}
			return compare(a, b)
		})
	}
	for _, x := range lines {
		cells := []view.Cell{view.Plainly(strconv.Itoa(x.n)), view.Plainly(x.at.Label), view.Linked(view.Link{Label: t.Day(x.r.Day), Href: x.r.Href}), view.Plainly(x.r.By)}
		if places {
			cells = append(cells, view.Plainly(x.r.Place))
		}
		table.Rows = append(table.Rows, view.Row{Cells: append(cells, view.Plainly(x.at.Result(x.r)),
			view.MarksCell(x.at.Marks(x.r), view.MarkNames(t)), view.Soft(sessionNote(t, x.r)))})
	}
	return table
}

// supportOf returns what a reading is based on: how certain the numbers are,
// and what limits them.
func supportOf(t *message.Printer, stay view.Stay) []string {
	var out []string
	if e := stay.Said.Estimate; e != nil {
		out = append(out, t.Text("progress.estimate", "share", t.OutOf(e.Correct, e.Trials), "low", t.Percent(math.Round(e.Low)), "high", t.Percent(math.Round(e.High))))
	}
	return append(out, evidenceOf(t, stay)...)
}

// evidenceOf returns what limits the evidence of the sessions behind a reading.
func evidenceOf(t *message.Printer, stay view.Stay) []string {
	sessions := stay.RestedOn()
	if len(sessions) == 0 {
		return nil
	}
	var out []string
	people, later, gap := map[string]bool{}, 0, 0
	near := time.Hour // sessions closer than this are weaker evidence than sessions days apart
	for i, r := range sessions {
		people[r.By] = true
		if r.Later {
			later++
		}
		if i > 0 {
			gap = max(gap, r.Day.Sub(sessions[i-1].Day))
			near = min(near, r.Of.StartedAt.Sub(sessions[i-1].Of.EndedAt))
		}
	}
	others := slices.ContainsFunc(stay.Sessions, func(r view.Recorded) bool { return r.By != sessions[0].By })
	if len(people) == 1 && !people[""] && !others {
		out = append(out, t.Text("progress.one_person", "who", sessions[0].By))
	}
	if later > 0 {
		out = append(out, t.Text("progress.later", "n", later, "of", len(sessions)))
	}
	if gap >= view.GapDays {
		out = append(out, t.Text("progress.gap", "n", gap-1))
	}
	if near < time.Hour && len(sessions) > 1 {
		key := "progress.near"
		if near < 0 {
			key = "progress.overlap"
		}
		out = append(out, t.Text(key, "n", int(near.Minutes())))
	}
	return out
}
