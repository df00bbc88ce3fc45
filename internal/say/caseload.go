package say

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/timezone"
	"newel/internal/view"
)

// caseloadHref returns the caseload's address with the filter.
func caseloadHref(f reading.CaseloadFilter, fragment string) string {
	q := url.Values{}
	for name, value := range map[string]string{
		"supervisor": f.Supervisor, "family": f.Family, "program": f.Program, "group": string(f.Group), "sort": string(f.Sort),
	} {
		if value != "" && !(name == "sort" && f.Sort == reading.CaseloadSorts[0]) {
			q.Set(name, value)
		}
	}
	if f.Down {
		q.Set("dir", "down")
	}
	if f.Page > 1 {
		q.Set("page", strconv.Itoa(f.Page))
	}
	page := href.Caseload
	if len(q) > 0 {
		page += "?" + q.Encode()
	}
	return page + fragment
}

// CaseloadPage returns the caseload: what needs a decision, by group, and the
// rest in a table.
func CaseloadPage(t *message.Printer, c reading.Caseload, mayDecide bool) view.CaseloadPage {
	filtered := c.Filter.Narrows()
	nothing := c.Asking()+c.QuietTotal == 0
	m := view.CaseloadPage{
		T: t, Title: t.Text("caseload.all_quiet"), Empty: nothing && !filtered, Filter: filterForm(t, c, filtered),
		Keys: t.Text("caseload.keys"),
	}
	if nothing && filtered {
		m.None = t.Text("caseload.none")
	}
	if n := c.Asking(); n > 0 {
		m.Title = t.Text("caseload.ask", "n", n)
		if c.QuietTotal > 0 {
			m.Title += " " + t.Text("caseload.quiet", "n", c.QuietTotal)
		}
	}
	day := newel.DayOf(c.At, c.Zone)
	m.Under = t.Text("caseload.read", "weekday", t.Weekday(day), "day", t.Day(day), "time", c.At.In(c.Zone).Format("15:04"))
	for _, g := range c.Groups {
		m.Ask = append(m.Ask, askGroup(t, c, g, mayDecide))
		if m.Ask[len(m.Ask)-1].Together != "" {
			m.Together = &view.Together{Token: NewToken()}
		}
	}
	if len(c.Quiet) > 0 {
		m.Quiet = quietTable(t, c)
		m.Pages, m.PagesName = quietPages(c), t.Text("caseload.pages")
	}
	if !nothing {
		for _, key := range []string{"tab", "arrows", "headings", "tick", "sort"} {
			m.KeyLines = append(m.KeyLines, t.Text("caseload.key_"+key))
		}
	}
	return m
}

func askGroup(t *message.Printer, c reading.Caseload, g reading.CaseloadGroup, mayDecide bool) view.AskGroup {
	key := "caseload.rows"
	if g.Group == reading.GroupIdle {
		key = "caseload.families"
	}
	group := view.AskGroup{Key: string(g.Group), Name: t.Text("group." + string(g.Group)), Count: t.Text(key, "n", g.Total)}
	ticks := 0
	for _, item := range g.Items {
		row := askRow(t, g.Group, item, mayDecide)
		if len(row.Tick) > 0 {
			ticks++
		}
		group.Rows = append(group.Rows, row)
	}
	if ticks > 0 {
		group.Together = t.Text("decide.seen_ticked")
	}
	if g.Total > len(g.Items) {
		f := c.Filter
		f.Group = g.Group
		group.More = &view.Link{Label: t.Text("caseload.more", "n", g.Total, "shown", len(g.Items)), Href: caseloadHref(f, "")}
	}
	return group
}

func filterForm(t *message.Printer, c reading.Caseload, filtered bool) view.CaseloadFilterForm {
	f := view.CaseloadFilterForm{Button: t.Text("caseload.filter")}
	for _, x := range []struct {
		name, value string
		choices     []reading.Choice
	}{{"supervisor", c.Filter.Supervisor, c.Supervisors}, {"family", c.Filter.Family, c.Families}, {"program", c.Filter.Program, c.Programs}} {
		if len(x.choices) < 2 && x.value == "" {
			continue
		}
		field := view.Field{T: t, Name: x.name, Label: t.Text("caseload.by_" + x.name), Value: x.value, Options: []view.Option{{Label: t.Text("caseload.all")}}}
		for _, choice := range x.choices {
			field.Options = append(field.Options, view.Option{Value: choice.ID, Label: choice.Name})
		}
		f.Fields = append(f.Fields, field)
	}
	if filtered {
		f.Clear = &view.Link{Label: t.Text("caseload.clear"), Href: href.Caseload}
	}
	return f
}

// tickable lists the groups in which several rows can be marked as seen at
// once. Rows with a child's no, a met criterion or unsettled data are decided
// one by one.
var tickable = map[reading.Group]bool{
	reading.GroupAttention: true, reading.GroupDiffers: true, reading.GroupCheck: true, reading.GroupAgain: true, reading.GroupIdle: true, reading.GroupUnreviewed: true,
}

func seenValue(r newel.CaseloadRow) string { return r.PlacementID.String() + ":" + r.LatestDecision() }

func askRow(t *message.Printer, g reading.Group, i reading.CaseloadItem, mayDecide bool) view.AskRow {
	stay := stayOf(t, i.Detail.Criterion, i.Detail.HelpLevels, i.Said, i.Sessions).Calling(i.Detail.Targets)
	page := href.Placement.To(i.PlacementID)
	row := view.AskRow{
		ID: "row-" + i.PlacementID.String(), Learner: i.Learner, Href: page, Program: i.Program, Step: stepText(i.Role, i.StepLabel, i.StepName),
		Sentence: withTargets(stay, caseloadReason(t, g, i, stay)), Flags: flagNames(t, g, stay), RestsOn: view.Link{Label: restsOn(t, stay), Href: page},
		Findings: rowFindings(t, g, i, stay), Said: rowSaid(t, i), Notes: notesOf(t, g, i), Links: linksOf(t, g, i),
	}
	stair := stairOf(t, i.Steps, i.StepKey, nil)
	row.Stair = &stair
	if i.Own {
		row.Step += " " + t.Text("caseload.own")
	}
	if len(i.Sessions) > 0 {
		row.Graph = &view.SmallGraphModel{
			Data: stay.Graph(), Name: stay.GraphName(), Caption: stay.Caption(), Href: row.Href,
			Open: t.Text("graph.open", "learner", i.Learner, "program", i.Program),
		}
	}
	values := []string{seenValue(i.CaseloadRow)}
	if g == reading.GroupIdle {
		values = familyRow(t, i, &row)
	}
	if mayDecide && tickable[g] {
		row.Tick, row.TickName = []string{strings.Join(values, ",")}, t.Text("caseload.tick")
	}
	if g == reading.GroupAttention || g == reading.GroupDiffers {
		row.Causes, row.CausesName = causesOf(t, i, stay, mayDecide), t.Text("check.head")
	}
	if mayDecide {
		row.Decide = view.DecideButtons{
			Label: t.Text("decide.for", "learner", i.Learner, "program", i.Program), Action: href.PlacementDecide.To(i.PlacementID), Token: NewToken(),
			After: i.LatestDecision(), Back: "caseload", Acts: rowActs(t, g, i),
		}
		if g == reading.GroupIdle {
			row.Decide.Action, row.Decide.Rows, row.Decide.Back = href.CaseloadSeen, values, ""
		}
	}
	return row
}

// rowFindings returns what the row's sentence is based on. Rows about something
// else than the child's results have none.
func rowFindings(t *message.Printer, g reading.Group, i reading.CaseloadItem, stay view.Stay) []view.Finding {
	if g == reading.GroupSaidNo || g == reading.GroupRecord || g == reading.GroupIdle {
		return nil
	}
	// A row has the latest sessions only.
	on := shownOn{prefix: "row-" + i.PlacementID.String() + "-", all: href.Placement.To(i.PlacementID)}
	found := findingsOf(t, stay, on)
	for _, d := range divisionsOf(stay.Said) {
		found = append(found, d.findings(t, stay, i.Detail.People, on)...)
	}
	return found
}

// familyRow turns the row of a family's first program into the row of the
// family. It returns the values that "seen" sends.
func familyRow(t *message.Printer, i reading.CaseloadItem, row *view.AskRow) []string {
	values := []string{seenValue(i.CaseloadRow)}
	row.Learner, row.Href = t.Text("caseload.family", "family", i.Family), href.Family.To(i.FamilyID)
	row.Program, row.Step, row.Stair = i.Learner, "", nil
	all := append([]newel.CaseloadRow{i.CaseloadRow}, i.Also...)
	for _, r := range all {
		label := r.Program + ", " + r.StepLabel
		if r.LearnerID != i.LearnerID {
			label = r.Learner + ": " + label
		}
		row.Also = append(row.Also, view.Link{Label: label, Href: href.Placement.To(r.PlacementID)})
	}
	for _, r := range i.Also {
		values = append(values, seenValue(r))
	}
	if len(i.Also) > 0 {
		row.RestsOn = view.Link{Label: t.Text("caseload.open_family"), Href: row.Href}
	}
	return values
}

// mostSaid limits what a row repeats of what the family said.
const mostSaid = 3

// rowSaid returns the latest of what the family said about the no that paused
// the program.
func rowSaid(t *message.Printer, i reading.CaseloadItem) []view.SaidLine {
	zone := timezone.OrUTC(i.TimeZone)
	var lines []view.SaidLine
	for _, s := range i.Detail.Said[max(0, len(i.Detail.Said)-mostSaid):] {
		lines = append(lines, saidLine(t, zone, s))
	}
	return lines
}

// notesOf returns the highlighted notes of a row, next to its reason.
func notesOf(t *message.Printer, g reading.Group, i reading.CaseloadItem) []string {
	var notes []string
	if i.State == newel.AssignmentResting {
		notes = append(notes, t.Text("reason.resting"))
	}
	if next := i.Next(); next != nil && i.NobodyNext && g != reading.GroupNobody {
		notes = append(notes, t.Text("nobody.next", "step", next.Label))
	}
	if reading.LateOpen(i.CaseloadRow) && g != reading.GroupRecord {
		notes = append(notes, lateText(t, i.CaseloadRow))
	}
	if i.Quarantined > 0 {
		notes = append(notes, t.Text("late.held", "n", i.Quarantined))
	}
	if i.Unsent > 0 {
		notes = append(notes, t.Text("late.unsent", "n", i.Unsent))
	}
	if move := helpMove(t, i.Said, i.Detail.HelpLevels, i.Detail.Planned); move != "" {
		notes = append(notes, move)
	}
	if g == reading.GroupMet && i.ByRule && len(i.Bars) > 0 {
		why := make([]string, len(i.Bars))
		for n, bar := range i.Bars {
			why[n] = t.Text("rule.bar_" + string(bar))
		}
		notes = append(notes, t.Text("rule.held", "why", t.List(why)))
	}
	return notes
}

// lateText returns what late data would change.
func lateText(t *message.Printer, r newel.CaseloadRow) string {
	n, kind := len(r.Late.Sessions), t.Text("decision."+string(r.Late.Kind))
	if r.Late.Was == r.Late.Now { // same status for other reasons
		return t.Text("late.rules", "n", n, "kind", kind)
	}
	return t.Text("late.changes", "n", n, "kind", kind, "was", t.Status(string(r.Late.Was)), "now", t.Status(string(r.Late.Now)))
}

func linksOf(t *message.Printer, g reading.Group, i reading.CaseloadItem) []view.Link {
	var links []view.Link
	if g == reading.GroupRecord {
		for _, pair := range reading.Twice(i.CaseloadRow) {
			for n, id := range pair {
				if recording, err := newel.ParseID[newel.RecordingID](id); err == nil {
					links = append(links, view.Link{Label: t.Text([]string{"record.first", "record.second"}[n]), Href: href.Recording.To(recording)})
				}
			}
		}
		if reading.LateOpen(i.CaseloadRow) {
			for n, id := range i.Late.Sessions {
				links = append(links, view.Link{Label: t.Text("late.open", "n", n+1), Href: href.Recording.To(id)})
			}
		}
	}
	if i.Quarantined > 0 {
		links = append(links, view.Link{Label: t.Text("late.to_quarantine"), Href: href.Quarantine})
	}
	return links
}

// familyIdle returns since when a family has sent nothing.
func familyIdle(t *message.Printer, i reading.CaseloadItem) string {
	last, began := newel.Day{}, i.BeganOn
	for _, r := range append([]newel.CaseloadRow{i.CaseloadRow}, i.Also...) {
		if r.Gist != nil && last.Before(r.Gist.Last) {
			last = r.Gist.Last
		}
		if r.BeganOn.Before(began) {
			began = r.BeganOn
		}
	}
	if last.IsZero() {
		return t.Text("reason.never", "day", began)
	}
	return t.Text("reason.idle", "n", i.Today.Sub(last)-1, "day", last)
}

// rowActs returns the decisions that fit a row. Only an advance that follows
// from the agreed criterion is a solid button; decisions that need judgment are
// not. Decisions that need a reason link to the page with the form.
func rowActs(t *message.Printer, g reading.Group, i reading.CaseloadItem) []view.Act {
	kind := func(k newel.DecisionKind, glyph view.Glyph, label string) view.Act {
		return view.Act{Glyph: glyph, Label: label, Name: "kind", Value: string(k)}
	}
	write := func(k newel.DecisionKind, glyph view.Glyph, label string) view.Act {
		return view.Act{Glyph: glyph, Label: label, Href: href.DecideAs(i.PlacementID, string(k))}
	}
	hold := write(newel.DecisionHold, view.GlyphHold, t.Text("decide.hold"))
	seen := kind(newel.DecisionSeen, view.GlyphSeen, t.Text("decide.seen"))
	pause := write(newel.DecisionPause, view.GlyphPause, t.Text("decide.pause"))
	branch := view.Act{Glyph: view.GlyphBranch, Label: t.Text("decide.branch_off", "step", i.StepLabel), Href: href.PlacementBranch.To(i.PlacementID)}
	revise := write(newel.DecisionRevise, view.GlyphRevise, t.Text("decide.revise_step", "step", i.StepLabel))
	back := pause
	if p := i.Previous(); p != nil {
		back = write(newel.DecisionStepBack, view.GlyphStepBack, t.Text("decide.back_to", "step", p.Label))
	}
	switch {
	case g == reading.GroupMet && i.Said.Status == criterion.StatusMet:
		advance := kind(newel.DecisionAdvance, view.GlyphAdvance, advanceLabel(t, i.Next()))
		advance.Solid = !i.NobodyNext // the notes say that no one could start it
		return []view.Act{advance, hold, seen}
	case g == reading.GroupNobody:
		train := view.Act{Glyph: view.GlyphRevise, Label: t.Text("nobody.train"), Href: href.FamilyTraining.To(i.FamilyID, i.ProgramID)}
		return []view.Act{train, pause}
	case g == reading.GroupIdle:
		ask := view.Act{Glyph: view.GlyphRevise, Label: t.Text("decide.ask"), Href: href.AskAbout(i.PlacementID, "idle")}
		return []view.Act{ask, write(newel.DecisionPause, view.GlyphPause, t.Text("decide.pause_until")), kind(newel.DecisionSeen, view.GlyphSeen, t.Text("decide.seen"))}
	case g == reading.GroupSaidNo && i.State == newel.AssignmentResting:
		lift := view.Act{Glyph: view.GlyphHold, Label: t.Text("decide.lift"), Href: href.Lift(i.PlacementID)}
		if i.Previous() == nil {
			return []view.Act{lift, seen}
		}
		return []view.Act{lift, back, seen}
	case g == reading.GroupUnrecorded:
		return []view.Act{revise, hold}
	case g == reading.GroupSaidNo:
		if back.Value == pause.Value && back.Href == pause.Href {
			return []view.Act{pause, hold, seen}
		}
		return []view.Act{back, pause, seen}
	case g == reading.GroupAgain && reading.Due(i.CaseloadRow):
		say := view.Act{Glyph: view.GlyphRevise, Label: t.Text("verdict.ask"), Href: href.Decision(i.PlacementID, i.Due.Decision)}
		return []view.Act{say, hold, seen}
	case g == reading.GroupAgain && reading.Revised(i.CaseloadRow):
		take := kind(newel.DecisionRevise, view.GlyphRevise, t.Text("decide.take_over", "n", i.Newest))
		take.Solid = true
		return []view.Act{take, hold, seen}
	case g == reading.GroupAgain && i.State == newel.AssignmentPaused:
		return []view.Act{kind(newel.DecisionResume, view.GlyphHold, t.Text("decide.resume")), write(newel.DecisionPause, view.GlyphPause, t.Text("decide.pause_on"))}
	case g == reading.GroupAttention && onlyClose(i.Said):
		return []view.Act{revise, hold, seen}
	case g == reading.GroupAttention:
		return append(helpActs(t, i.Said, i.Detail.HelpLevels, i.Detail.Planned), branch, revise, back, seen)
	case g == reading.GroupDiffers:
		return []view.Act{revise, hold, seen}
	case g == reading.GroupAnswer || g == reading.GroupUnreviewed || g == reading.GroupRecord:
		return []view.Act{{Glyph: view.GlyphRevise, Label: t.Text("decide.other"), Href: href.Decide(i.PlacementID)}, seen}
	}
	return []view.Act{back, hold, seen}
}

// onlyClose reports whether a reading raises "close" and nothing that means a
// lack of progress.
func onlyClose(said criterion.Reading) bool {
	_, close := said.Flag(criterion.Close)
	return close && !slices.ContainsFunc(said.Flags, func(f criterion.Flag) bool { return f.Kind.Stalls() })
}

func advanceLabel(t *message.Printer, next *program.StepRow) string {
	if next == nil {
		return t.Text("decide.advance_last")
	}
	return t.Text("decide.advance_to", "step", next.Label)
}

func quietTable(t *message.Printer, c reading.Caseload) *view.Table {
	table := &view.Table{Caption: t.Text("caseload.quiet_head"), Note: t.Text("caseload.quiet_note", "n", c.QuietTotal)}
	for _, col := range []struct {
		name string
		sort reading.CaseloadSort
	}{
		{"learner", "learner"},
		{"program", "program"},
		{"step", "step"},
		{"since", "since"},
		{"sessions", "sessions"},
		{"last", "last"},
		{"latest", ""},
		{"result", ""},
		{"reading", "reading"},
	} {
		column := view.Column{Label: t.Text("caseload.col_" + col.name), Number: col.name == "sessions" || col.name == "result"}
		if col.sort != "" {
			f := c.Filter
			f.Sort, f.Page, f.Down = col.sort, 1, false
			if c.Filter.Sort == col.sort {
				f.Down, column.Sorted = !c.Filter.Down, "ascending"
				if c.Filter.Down {
					column.Sorted = "descending"
				}
			}
			column.Href = caseloadHref(f, "#quiet")
		}
		table.Columns = append(table.Columns, column)
	}
	for _, i := range c.Quiet {
		table.Rows = append(table.Rows, quietRow(t, i))
	}
	return table
}

func quietPages(c reading.Caseload) []view.Link {
	pages := make([]view.Link, c.QuietPages)
	for n := range pages {
		pages[n].Label = strconv.Itoa(n + 1)
		if n+1 != c.Filter.Page {
			f := c.Filter
			f.Page = n + 1
			pages[n].Href = caseloadHref(f, "#quiet")
		}
	}
	return pages
}

func quietRow(t *message.Printer, i reading.CaseloadItem) view.Row {
	stay := stayOf(t, i.Detail.Criterion, i.Detail.HelpLevels, i.Said, i.Sessions).Calling(i.Detail.Targets)
	page := href.Placement.To(i.PlacementID)
	result, marks := view.Link{Href: page}, []view.Mark(nil)
	if n := len(stay.Sessions); n > 0 {
		last := stay.Sessions[n-1]
		result.Label, marks = stay.Result(last), stay.Marks(last)
	}
	reading := stay.StatusLine()
	if i.State == newel.AssignmentPaused {
		reading = t.Text("taught.paused")
	}
	last := ""
	if i.Gist != nil && !i.Gist.Last.IsZero() {
		last = t.DayShort(i.Gist.Last)
	}
	return view.Row{Cells: []view.Cell{
		view.Linked(view.Link{Label: i.Learner, Href: page}), view.Plainly(i.Program),
		view.StepCell(stairOf(t, i.Steps, i.StepKey, nil), stepText(i.Role, i.StepLabel, i.StepName)),
		view.Plainly(t.DayShort(i.BeganOn)), view.Plainly(strconv.Itoa(len(i.Said.Sessions))), view.Plainly(last),
		view.MarksCell(marks, view.MarkNames(t)), view.ResultCell(result), view.Plainly(reading),
	}}
}
