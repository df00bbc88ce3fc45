package say

import (
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/revision"
	"newel/internal/view"
)

// stateName names a state of a program.
func stateName(t *message.Printer, name string) string {
	if name == app.DraftName {
		return t.Text("versions.the_draft")
	}
	return t.Text("versions.version_within", "n", name)
}

// changeKinds maps kinds of change to their names in the catalogue.
var changeKinds = map[revision.Kind]string{revision.Added: "added", revision.Removed: "removed", revision.Moved: "moved", revision.Changed: "changed"}

// fieldLabel returns the editor's label for a field of a Sheet.
func fieldLabel(t *message.Printer, name string) string {
	if f, known := program.FieldNamed(name); known {
		return t.Text(f.LabelKey())
	}
	return t.Text("compare.other_field")
}

// VersionsPage returns a program's history, newest first, with the learners on
// each version.
func VersionsPage(t *message.Printer, actor newel.Actor, id newel.ProgramID, v app.VersionsView) view.VersionsPage {
	m := view.VersionsPage{T: t, Title: v.Program.Title, ID: id}
	compare := func(from, to string) string { return href.CompareStates(id, from, to) }
	if v.HasDraft && len(v.Versions) > 0 && actor.Can(newel.DraftProgram) {
		m.Draft = &view.Link{Label: t.Text("versions.draft_changes"), Href: compare(strconv.Itoa(v.Versions[0].Number), app.DraftName)}
	}
	for i, version := range v.Versions {
		n := strconv.Itoa(version.Number)
		e := view.VersionEntry{ID: "version-" + n, Name: t.Text("versions.version", "n", version.Number), Href: href.InState(href.Program.To(id), n)}
		e.Published = t.Text("versions.published", "day", t.Day(DayOf(version.PublishedAt)), "who", version.PublishedBy)
		if i+1 < len(v.Versions) {
			before := strconv.Itoa(v.Versions[i+1].Number)
			e.Changes = &view.Link{Label: t.Text("versions.changes", "from", before), Href: compare(before, n)}
		}
		for _, l := range v.Learners {
			if l.Number != version.Number || !actor.Can(newel.SeeLearner) {
				continue
			}
			line := view.VersionLearner{Name: l.Learner, Href: href.Placement.To(l.PlacementID), Printout: href.PlacementPrintout.To(l.PlacementID), At: strings.TrimSpace(l.Role + " " + l.StepLabel)}
			if i > 0 && actor.Can(newel.AssignProgram) {
				line.Move = href.AssignmentVersion.To(l.AssignmentID)
			}
			e.Learners = append(e.Learners, line)
		}
		m.Entries = append(m.Entries, e)
	}
	return m
}

// ComparePage returns the changes between two states of a program.
func ComparePage(t *message.Printer, id newel.ProgramID, v app.CompareView, from, to string) view.ComparePage {
	m := view.ComparePage{T: t, Title: v.Program.Title, ID: id, From: stateName(t, from), To: stateName(t, to)}
	for _, f := range v.Comparison.Fields {
		m.Program = append(m.Program, view.Change{Label: fieldLabel(t, f.Name), Words: f.Words()})
	}
	if v.Comparison.Procedure {
		m.Everyone = t.Text("compare.everyone")
	}
	for _, step := range v.Comparison.Steps {
		c := view.StepChange{Title: step.Title, What: t.Text("compare.kind_" + changeKinds[step.Kind])}
		switch {
		case step.Criterion:
			c.Line = t.Text("compare.line_criterion")
		case step.Procedure:
			c.Line = t.Text("compare.line_procedure")
		}
		for _, f := range step.Fields {
			c.Changes = append(c.Changes, view.Change{Label: fieldLabel(t, f.Name), Words: f.Words()})
		}
		m.Steps = append(m.Steps, c)
	}
	return m
}

// MovePage asks whether to move a learner to the latest version, and shows what
// would change.
func MovePage(t *message.Printer, v app.MoveView, form view.FormState) view.MovePage {
	m := view.MovePage{
		Form: form, Learner: v.Learner.Nickname,
		Back: href.Learner.To(v.Learner.ID), Title: v.Program.Title, From: v.From, To: v.To, After: v.After,
		Compare: href.CompareStates(v.Program.ID, strconv.Itoa(v.From), strconv.Itoa(v.To)),
	}
	for _, stay := range v.Stays {
		line := view.MoveLine{Title: stay.Title, What: t.Text("move.goes_on", "step", stay.NewTitle)}
		switch {
		case stay.NewTitle == "":
			line.What, line.Alert = t.Text("move.gone"), true
		case stay.PhaseLine:
			line.What = t.Text("move.begins_anew", "step", stay.NewTitle)
		}
		m.Stays = append(m.Stays, line)
	}
	for _, o := range v.Overrides {
		line := view.MoveLine{Title: o.Title, What: t.Text("move.own_kept")}
		if !o.Kept {
			line.What, line.Alert = t.Text("move.own_waits"), true
		}
		m.Overrides = append(m.Overrides, line)
	}
	return m
}
