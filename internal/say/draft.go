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

// changeText describes the change that led to a state of a draft.
func changeText(t *message.Printer, deed string) string {
	kind, what, _ := strings.Cut(deed, ":")
	if key := "deed." + strings.ReplaceAll(kind, "-", "_"); kind != "" && t.Has(key) {
		return t.Text(key, "what", what)
	}
	return t.Text("deed.other")
}

// fillAdvice adds the findings of the checks to the fields: the first one of
// each, and every suggested change. The criterion's own panel tells its luck, so
// that only the list before publishing repeats it.
func fillAdvice(t *message.Printer, m *view.DraftPage, list []writing.Advice) {
	m.Problems, m.Looks, m.Fixes = map[string]string{}, map[string]string{}, map[string][]view.Fix{}
	m.Beside, m.Bases = map[string]view.Beside{}, map[string][]string{}
	for _, a := range list {
		text := t.Problem(a.Problem)
		if a.Severity != program.Suggestion {
			if m.Problems[a.Field] == "" {
				m.Problems[a.Field] = text
			}
		} else {
			m.Looks[a.Field] = strings.TrimSpace(m.Looks[a.Field] + " " + text)
		}
		fixes := fixesOf(t, a.Fixes())
		m.Fixes[a.Field] = append(m.Fixes[a.Field], fixes...)
		if a.Luck != nil {
			m.Bases[a.Field] = luckBasis(t, a.Luck)
		}
		if writing.AboutLuck(a.Key) {
			continue
		}
		b := m.Beside[a.Field]
		if a.Severity == program.Suggestion {
			b.Look = strings.TrimSpace(b.Look + " " + text)
		}
		b.Fixes = append(b.Fixes, fixes...)
		m.Beside[a.Field] = b
	}
}

// fixesOf returns the buttons of suggested changes.
func fixesOf(t *message.Printer, fixes []*writing.Fix) []view.Fix {
	var out []view.Fix
	for _, f := range fixes {
		out = append(out, view.Fix{Label: t.Text("fix."+f.ID, f.Args...), Value: "fix:" + f.ID + ":" + f.Field})
	}
	return out
}

// DraftPage returns the editor with one pane open: the step or role in the
// query, if it exists.
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
		m.Undo = changeText(t, v.Draft.Deed)
	}
	if v.Draft.RedoTo != nil {
		m.Redo = changeText(t, v.Draft.RedoDeed)
	}
	if v.Draft.HandedInBy != "" {
		m.Submitted = t.Text("draft.handed_in", "who", v.Draft.HandedInBy)
	}
	return m
}

// paneOf reads the requested pane.
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

// savedText says how long ago the draft was last saved and by whom; after a day
// it uses the date. (No clock time, which would need a time zone.)
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

// FillConflict adds the stored value to each field that two people have
// changed. Saving again keeps the value on this page.
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
