package say

import (
	"net/url"
	"slices"
	"testing"
	"time"

	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/skill"
)

// inEnglish returns an English printer.
func inEnglish(t *testing.T) *message.Printer {
	t.Helper()
	messages, err := message.Load()
	if err != nil {
		t.Fatal(err)
	}
	return messages.Printer("en")
}

func TestLibraryIsFiltered(t *testing.T) {
	t.Parallel()
	day := time.Date(2026, 3, 10, 9, 0, 0, 0, time.UTC)
	id := newel.NewID[newel.ProgramID]()
	programs := []program.Summary{
		{ID: id, Title: "Washing hands", SkillArea: "Self-care", Number: 2, PublishedAt: &day},
		{Title: "Which cup?", SkillArea: "Play", DraftRev: 3, DraftUpdatedAt: &day},
		{Title: "Waiting", SkillArea: "Play", DraftRev: 1, DraftUpdatedAt: &day, HandedInAt: &day},
		{Title: "Old", Number: 1, PublishedAt: &day, ArchivedAt: &day},
	}
	shelf := skill.NewShelf(nil, []program.Skills{{ID: id, Title: "Washing hands", Needs: []string{"Turning a tap"}}})
	needed := string(shelf.Key("Turning a tap"))
	for name, tc := range map[string]struct {
		query string
		want  []string
	}{
		"nothing looked for":          {"", []string{"Washing hands", "Which cup?", "Waiting"}},
		"words in any order":          {"q=hands+WASHING", []string{"Washing hands"}},
		"words of the area":           {"q=play", []string{"Which cup?", "Waiting"}},
		"an area":                     {"area=Self-care", []string{"Washing hands"}},
		"published":                   {"state=published", []string{"Washing hands"}},
		"drafts":                      {"state=draft", []string{"Which cup?", "Waiting"}},
		"submitted":                   {"state=handed_in", []string{"Waiting"}},
		"archived":                    {"state=archived", []string{"Old"}},
		"an area and its state":       {"area=Play&state=handed_in", []string{"Waiting"}},
		"a skill that it needs":       {"needs=" + needed, []string{"Washing hands"}},
		"a skill that no one teaches": {"teaches=" + needed, nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			q, err := url.ParseQuery(tc.query)
			if err != nil {
				t.Fatal(err)
			}
			m := LibraryPage(inEnglish(t), programs, shelf, q, true)
			var got []string
			for _, row := range m.Rows {
				got = append(got, row.Title)
			}
			if !slices.Equal(got, tc.want) {
				t.Errorf("found %q, want %q", got, tc.want)
			}
			if want := []string{"Play", "Self-care"}; !slices.Equal(m.Areas, want) {
				t.Errorf("areas %q, want all of them for any query: %q", m.Areas, want)
			}
		})
	}
}

// TestDraftLinksNeedEditPermission checks that people who may not edit a program get
// no link to its draft.
func TestDraftLinksNeedEditPermission(t *testing.T) {
	t.Parallel()
	day := time.Date(2026, 3, 10, 9, 0, 0, 0, time.UTC)
	programs := []program.Summary{{Title: "Which cup?", DraftRev: 3, DraftUpdatedAt: &day}}
	for _, may := range []bool{true, false} {
		row := LibraryPage(inEnglish(t), programs, skill.NewShelf(nil, nil), nil, may).Rows[0]
		if led := row.Draft != nil; led != may {
			t.Errorf("may edit %t, linked to the draft %t", may, led)
		}
	}
}
