package say

import (
	"errors"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/programfile"
	"newel/internal/skill"
	"newel/internal/view"
)

// fileProblem describes a problem in a file and its position.
func fileProblem(t *message.Printer, p programfile.Problem) string {
	text := t.Problem(p.Problem)
	if p.Field != "" {
		text = p.Field + ": " + text
	}
	if p.Line > 0 {
		text = t.Text("library.at_line", "line", p.Line, "column", p.Column) + " " + text
	}
	return text
}

// LibraryPage lists the programs that match a query. mayDraft includes drafts.
func LibraryPage(t *message.Printer, programs []program.Summary, shelf *skill.Shelf, q url.Values, mayDraft bool) view.LibraryPage {
	m := view.LibraryPage{T: t, MayDraft: mayDraft, All: len(programs), Query: q.Get("q"), Area: q.Get("area"), State: q.Get("state"), States: libraryStates}
	m.Needs, m.Teaches = q.Get("needs"), q.Get("teaches")
	m.Skills = skillOptions(shelf)
	words := strings.Fields(strings.ToLower(m.Query))
	for _, p := range programs {
		if p.SkillArea != "" && !slices.Contains(m.Areas, p.SkillArea) {
			m.Areas = append(m.Areas, p.SkillArea)
		}
		text := strings.ToLower(p.Title + " " + p.SkillArea)
		if !inState(p, m.State) || m.Area != "" && p.SkillArea != m.Area || !hasSkills(shelf, p.ID, m.Needs, m.Teaches) ||
			slices.ContainsFunc(words, func(word string) bool { return !strings.Contains(text, word) }) {
			continue
		}
		row := view.LibraryRow{Title: p.Title, Href: href.Program.To(p.ID), Area: p.SkillArea, State: t.Text("library.not_yet"), Learners: p.Learners}
		if p.PublishedAt != nil {
			row.State = "version " + strconv.Itoa(p.Number) + ", " + t.Day(DayOf(*p.PublishedAt))
		} else if p.Origin == app.OriginStarter {
			row.State = t.Text("library.starter_unreviewed")
		}
		if p.DraftUpdatedAt != nil && m.MayDraft {
			row.Draft = &view.Link{Label: t.Text("library.draft_saved", "day", t.Day(DayOf(*p.DraftUpdatedAt))), Href: href.Draft.To(p.ID)}
			if p.HandedInAt != nil {
				row.Draft.Label = t.Text("library.draft_waits")
			}
		}
		m.Rows = append(m.Rows, row)
	}
	slices.Sort(m.Areas)
	return m
}

// The states by which the library can be filtered.
var libraryStates = []string{"", "published", "draft", "handed_in", "archived"}

func inState(p program.Summary, state string) bool {
	switch state {
	case "archived":
		return p.ArchivedAt != nil
	case "published":
		return p.ArchivedAt == nil && p.Number > 0
	case "draft":
		return p.ArchivedAt == nil && p.DraftRev > 0
	case "handed_in":
		return p.ArchivedAt == nil && p.HandedInAt != nil
	}
	return p.ArchivedAt == nil
}

// hasSkills reports whether a program needs and teaches the given skills; an
// empty skill always matches.
func hasSkills(shelf *skill.Shelf, id newel.ProgramID, needs, teaches string) bool {
	is := func(k string, programs func(skill.Key) []skill.Program) bool {
		return k == "" || slices.ContainsFunc(programs(skill.Key(k)), func(p skill.Program) bool { return p.ID == id })
	}
	return is(needs, shelf.Users) && is(teaches, shelf.Teachers)
}

// ImportPage returns the form for importing a program file, with the problems
// of the last file, and the starter programs.
func ImportPage(t *message.Printer, form view.FormState, starters []programfile.Starter, cause error) view.ImportPage {
	m := view.ImportPage{Form: form}
	var rejected *app.FileProblems
	if errors.As(cause, &rejected) {
		for _, p := range rejected.Problems {
			m.Problems = append(m.Problems, fileProblem(t, p))
		}
	}
	for _, starter := range starters {
		m.Starters = append(m.Starters, view.StarterLine{Token: NewToken(), Name: starter.Name, Title: starter.Document.Title, Area: starter.Document.SkillArea, Purpose: starter.Document.Purpose})
	}
	return m
}
