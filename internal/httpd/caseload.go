package httpd

import (
	"net/http"
	"strconv"
	"strings"

	"github.com/a-h/templ"

	"newel/internal/app"
	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
)

func (s *Server) caseload(w http.ResponseWriter, r *http.Request) error {
	actor, t := mustActor(r), s.printer(r)
	c, err := s.app.Caseload(r.Context(), actor)
	if err != nil {
		return err
	}
	m := caseloadPage(t, c, actor.Can(newel.Decide))
	return s.page(w, r, http.StatusOK, page{Title: t.Text("nav.caseload"), Section: "caseload"}, view.Caseload(m))
}

func caseloadPage(t *message.Printer, c app.Caseload, mayDecide bool) view.CaseloadPage {
	m := view.CaseloadPage{Title: t.Text("caseload.all_quiet"), Empty: c.Asking()+len(c.Quiet) == 0}
	if n := c.Asking(); n > 0 {
		m.Title = t.Text("caseload.ask", "n", n)
		if q := len(c.Quiet); q > 0 {
			m.Title += " " + t.Text("caseload.quiet", "n", q)
		}
	}
	day := newel.DayOf(c.At, c.Zone)
	m.Under = t.Text("caseload.read", "weekday", t.Weekday(day), "day", t.Day(day), "time", c.At.In(c.Zone).Format("15:04"))
	for _, g := range c.Groups {
		group := view.AskGroup{Key: string(g.Group), Name: t.Text("group." + string(g.Group)), Count: t.Text("caseload.rows", "n", len(g.Items))}
		for _, item := range g.Items {
			group.Rows = append(group.Rows, askRow(t, g.Group, item, mayDecide))
		}
		m.Ask = append(m.Ask, group)
	}
	if len(c.Quiet) > 0 {
		m.Quiet = quietTable(t, c.Quiet)
	}
	return m
}

// stayOf gives words and drawings the sessions of a row.
func stayOf(t *message.Printer, text string, levels []string, said criterion.Reading, sessions []app.Session) view.Stay {
	recorded := make([]view.Recorded, len(sessions))
	for i, s := range sessions {
		recorded[i] = view.Recorded{Of: s.Of, By: s.ByName, Day: s.LocalDate, Later: s.Afterwards, Corrected: s.Amendments, Href: "/recordings/" + s.ID.String()}
	}
	return view.NewStay(t, text, levels, said, recorded)
}

func stepText(role, label, name string) string {
	return strings.TrimSpace(role+" "+label) + ", " + name
}

func askRow(t *message.Printer, g app.Group, i app.CaseloadItem, mayDecide bool) view.AskRow {
	stay := stayOf(t, i.Criterion, i.HelpLevels, i.Said, i.Sessions)
	row := view.AskRow{
		ID: "row-" + i.PlacementID.String(), Learner: i.Learner, Href: "/placements/" + i.PlacementID.String(),
		Program: i.Program, Step: stepText(i.Role, i.StepLabel, i.StepName), Stair: stairOf(t, i.Steps, i.StepKey, nil),
		Sentence: reasonOf(t, g, stay, standing{i.BeganOn, i.Today, i.LookAgain, i.State}), Flags: flagNames(t, g, stay),
		RestsOn: restsOn(t, stay),
	}
	if i.State == newel.AssignmentResting {
		row.Resting = t.Text("reason.resting")
	}
	if len(i.Sessions) > 0 {
		row.Graph = &view.SmallGraphModel{
			Data: stay.Graph(), Name: stay.GraphName(), Caption: stay.Caption(), Href: row.Href,
			Open: t.Text("graph.open", "learner", i.Learner, "program", i.Program),
		}
	}
	if mayDecide {
		row.Decide = view.DecideButtons{
			Label: t.Text("decide.for", "learner", i.Learner, "program", i.Program), Action: row.Href + "/decide", Token: newToken(),
			After: i.LatestDecision(), Back: "caseload", Acts: rowActs(t, g, i, row.Href),
		}
	}
	return row
}

// standing is what a reason needs beside the reading.
type standing struct {
	began, today, again newel.Day
	state               newel.AssignmentState
}

// reasonOf is the one sentence for which a row asks.
func reasonOf(t *message.Printer, g app.Group, stay view.Stay, at standing) string {
	switch g {
	case app.GroupMet:
		return stay.MetSentence()
	case app.GroupIdle:
		return idleReason(t, stay, at)
	case app.GroupRecord:
		return t.Text("reason.record")
	case app.GroupAgain:
		return t.Text("reason.again", "day", at.again) + " " + readingReason(t, stay)
	case app.GroupSaidNo:
		if f, is := stay.Said.Flag(criterion.Distress); is {
			return stay.FlagSentence(f)
		}
		return t.Text("reason.resting")
	case app.GroupCheck:
		for _, kind := range []criterion.FlagKind{criterion.Slipping, criterion.CheckAgain} {
			if f, is := stay.Said.Flag(kind); is {
				return stay.FlagSentence(f)
			}
		}
	}
	return readingReason(t, stay)
}

// readingReason says what the reading itself says.
func readingReason(t *message.Printer, stay view.Stay) string {
	if stay.Said.Status == criterion.StatusMet {
		return stay.MetSentence()
	}
	if len(stay.Said.Flags) > 0 {
		return stay.FlagSentence(stay.Said.Flags[0])
	}
	if stay.Said.Status == "" || stay.Said.Status == criterion.StatusGathering {
		return t.Text("reason.gathering")
	}
	return t.Text("reason.on_the_way", "lacking", stay.Standing())
}

func idleReason(t *message.Printer, stay view.Stay, at standing) string {
	if len(stay.Sessions) == 0 {
		return t.Text("reason.never", "day", at.began)
	}
	last := stay.Sessions[len(stay.Sessions)-1].Day
	return t.Text("reason.idle", "n", at.today.Sub(last)-1, "day", last)
}

func flagNames(t *message.Printer, g app.Group, stay view.Stay) string {
	if g == app.GroupIdle {
		return t.Flag(string(criterion.Idle))
	}
	return stay.FlagNames()
}

func restsOn(t *message.Printer, stay view.Stay) string {
	if n := stay.RestsOn(); n > 0 {
		return t.Text("reason.rests_on", "n", n)
	}
	return t.Text("reason.open")
}

// rowActs are the decisions that fit what a row asks. Only an advance that
// follows from the agreed criterion is solid; where judgement is asked none
// is. Those that want a reason lead to the page with the form.
func rowActs(t *message.Printer, g app.Group, i app.CaseloadItem, page string) []view.Act {
	kind := func(k newel.DecisionKind, glyph view.Glyph, label string) view.Act {
		return view.Act{Glyph: glyph, Label: label, Name: "kind", Value: string(k)}
	}
	write := func(k newel.DecisionKind, glyph view.Glyph, label string) view.Act {
		return view.Act{Glyph: glyph, Label: label, Href: page + "?kind=" + string(k) + "#decide"}
	}
	hold := write(newel.DecisionHold, view.GlyphHold, t.Text("decide.hold"))
	seen := kind(newel.DecisionSeen, view.GlyphSeen, t.Text("decide.seen"))
	back := write(newel.DecisionStepBack, view.GlyphStepBack, "")
	if p := i.Previous(); p != nil {
		back.Label = t.Text("decide.back_to", "step", p.Label)
	}
	pause := write(newel.DecisionPause, view.GlyphPause, t.Text("decide.pause"))
	switch {
	case g == app.GroupMet && i.Said.Status == criterion.StatusMet:
		advance := kind(newel.DecisionAdvance, view.GlyphAdvance, advanceLabel(t, i.Next()))
		advance.Solid = true
		return []view.Act{advance, hold, seen}
	case g == app.GroupIdle:
		return []view.Act{pause, seen}
	case back.Label == "":
		return []view.Act{hold, pause, seen}
	case g == app.GroupSaidNo:
		return []view.Act{back, pause, seen}
	}
	return []view.Act{back, hold, seen}
}

func advanceLabel(t *message.Printer, next *newel.StepRow) string {
	if next == nil {
		return t.Text("decide.advance_last")
	}
	return t.Text("decide.advance_to", "step", next.Label)
}

func quietTable(t *message.Printer, items []app.CaseloadItem) *view.Table {
	table := &view.Table{Caption: t.Text("caseload.quiet_head"), Note: t.Text("caseload.quiet_note", "n", len(items))}
	for _, c := range []string{"learner", "program", "step", "since", "sessions", "latest", "result", "reading"} {
		table.Columns = append(table.Columns, view.Column{Label: t.Text("caseload.col_" + c), Number: c == "sessions" || c == "result"})
	}
	for _, i := range items {
		table.Rows = append(table.Rows, quietRow(t, i))
	}
	return table
}

func quietRow(t *message.Printer, i app.CaseloadItem) view.Row {
	stay := stayOf(t, i.Criterion, i.HelpLevels, i.Said, i.Sessions)
	href := "/placements/" + i.PlacementID.String()
	result, marks := view.Link{Href: href}, []view.Mark(nil)
	if n := len(stay.Sessions); n > 0 {
		last := stay.Sessions[n-1]
		result.Label, marks = stay.Result(last), stay.Marks(last)
	}
	reading := stay.Standing()
	if i.State == newel.AssignmentPaused {
		reading = t.Text("taught.paused")
	}
	return view.Row{Cells: []templ.Component{
		view.Linked(view.Link{Label: i.Learner, Href: href}), view.Plainly(i.Program),
		view.StepCell(stairOf(t, i.Steps, i.StepKey, nil), stepText(i.Role, i.StepLabel, i.StepName)),
		view.Plainly(t.DayShort(i.BeganOn)), view.Plainly(strconv.Itoa(len(i.Said.Sessions))),
		view.MarksCell(marks, view.MarkNames(t)), view.ResultCell(result), view.Plainly(reading),
	}}
}
