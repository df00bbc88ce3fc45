package say

import (
	"net/url"
	"strings"
	"time"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/view"
	"newel/internal/writing"
)

// deedText says in words what led to a state of a draft.
func deedText(t *message.Printer, deed string) string {
	kind, what, _ := strings.Cut(deed, ":")
	if key := "deed." + strings.ReplaceAll(kind, "-", "_"); kind != "" && t.Has(key) {
		return t.Text(key, "what", what)
	}
	return t.Text("deed.other")
}

// fillAdvice puts what the checks say beside the fields: the first of each, and
// every change that is offered.
func fillAdvice(t *message.Printer, m *view.DraftPage, list []writing.Advice) {
	m.Problems, m.Looks, m.Fixes = map[string]string{}, map[string]string{}, map[string][]view.Fix{}
	for _, a := range list {
		into := m.Problems
		if a.Severity == program.WorthALook {
			into = m.Looks
		}
		switch said := into[a.Field]; {
		case said == "":
			into[a.Field] = t.Problem(a.Problem)
		case a.Severity == program.WorthALook:
			into[a.Field] = said + " " + t.Problem(a.Problem)
		}
		if a.Fix != nil {
			m.Fixes[a.Field] = append(m.Fixes[a.Field], view.Fix{Label: t.Text("fix." + a.Fix.ID), Value: "fix:" + a.Fix.ID + ":" + a.Fix.Field})
		}
	}
}

// DraftPage is the editor with one pane open: that of the query, if there is
// such a step or role.
func DraftPage(t *message.Printer, actor newel.Actor, v app.DraftView, sheet program.Sheet, query url.Values, now time.Time) view.DraftPage {
	document := v.Draft.Document
	m := view.DraftPage{
		T: t, Token: NewToken(), Path: href.Draft.To(v.Program.ID), Program: v.Program.ID, Title: v.Program.Title, Rev: v.Draft.Rev,
		Who: actor.Account.String(), MayPublish: actor.Can(newel.PublishProgram),
		Sheet: sheet, Document: &document, Published: v.Published, Saved: savedText(t, v.Draft, now),
	}
	m.Pane, m.Key = paneOf(sheet, query)
	fillAdvice(t, &m, v.Advice)
	if v.Draft.UndoTo != nil {
		m.Undo = deedText(t, v.Draft.Deed)
	}
	if v.Draft.RedoTo != nil {
		m.Redo = deedText(t, v.Draft.RedoDeed)
	}
	if v.Draft.HandedInBy != "" {
		m.HandedIn = t.Text("draft.handed_in", "who", v.Draft.HandedInBy)
	}
	return m
}

// paneOf reads which pane is asked for.
func paneOf(sheet program.Sheet, query url.Values) (pane, key string) {
	for _, strand := range sheet.Strands {
		if strand.Key == query.Get(view.RolePane) {
			return view.RolePane, strand.Key
		}
		for _, step := range strand.Steps {
			if step == query.Get(view.StepPane) {
				return view.StepPane, step
			}
		}
	}
	if query.Get("pane") == view.PublishPane {
		return view.PublishPane, ""
	}
	return view.ProgramPane, ""
}

// savedText says how long ago and by whom the draft was saved last; by the
// date after a day. (No clock time: it would have to be somebody's.)
func savedText(t *message.Printer, d program.Draft, now time.Time) string {
	when := t.Day(DayOf(d.UpdatedAt))
	switch ago := now.Sub(d.UpdatedAt); {
	case ago < time.Minute:
		when = t.Text("draft.just_now")
	case ago < time.Hour:
		when = t.Text("draft.minutes_ago", "n", int(ago.Minutes()))
	case ago < 24*time.Hour:
		when = t.Text("draft.hours_ago", "n", int(ago.Hours()))
	}
	if d.UpdatedByName == "" {
		return t.Text("draft.saved", "when", when)
	}
	return t.Text("draft.saved_by", "when", when, "who", d.UpdatedByName)
}

// FillConflict puts beside each field that two have written what is stored.
// Saving again keeps this page's.
func FillConflict(m *view.DraftPage, conflict *app.DraftConflict) {
	m.Theirs = map[string]string{}
	for _, c := range conflict.Fields {
		m.Theirs[c.Name] = c.Theirs
	}
	who := conflict.Theirs.Draft.UpdatedByName
	if who == "" {
		who = m.T.Text("draft.somebody")
	}
	m.Conflict = m.T.Text("draft.conflict", "who", who, "n", len(conflict.Fields))
}
