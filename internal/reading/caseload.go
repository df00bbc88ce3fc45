package reading

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/timezone"
)

// How many rows a page shows: per group, in a group shown on its own, and of
// quiet rows.
const (
	GroupRows = 25
	AloneRows = 200
	QuietRows = 100
)

// CaseloadFilter selects the rows of a caseload page. Ids out of reach match no
// row.
type CaseloadFilter struct {
	Supervisor, Family, Program string // ids; empty for all
	Group                       Group  // only this group
	Sort                        CaseloadSort
	Down                        bool // descending
	Page                        int  // of quiet rows, from 1
}

// Narrows reports whether the filter excludes any rows.
func (f CaseloadFilter) Narrows() bool {
	return f.Supervisor+f.Family+f.Program+string(f.Group) != ""
}

// CaseloadSort is a sort order of the quiet rows.
type CaseloadSort string

// The sort orders of the quiet rows; the first is the default.
var CaseloadSorts = []CaseloadSort{"learner", "program", "step", "since", "sessions", "last", "reading"}

// Caseload is a supervisor's start page.
type Caseload struct {
	At          time.Time
	Zone        *time.Location // of the clinic
	Filter      CaseloadFilter
	Supervisors []Choice
	Families    []Choice
	Programs    []Choice
	Groups      []CaseloadGroup
	Quiet       []CaseloadItem // one page
	QuietTotal  int
	QuietPages  int
	Checks      []CheckItem            // learned steps whose checks need someone; only without a filter
	Incidents   []newel.Incident       // incidents without a response from the clinic; only without a filter
	Unread      []newel.UnreadMessages // unread messages to the clinic; only without a filter
	Agreed      []newel.Action         // agreed actions that the clinic still has to do; only without a filter
}

// Choice is a filter option.
type Choice struct{ ID, Name string }

// Asking counts the rows that need a decision.
func (c Caseload) Asking() int {
	n := 0
	for _, g := range c.Groups {
		n += g.Total
	}
	return n
}

// CaseloadGroup holds rows that need the same kind of attention, up to the
// number shown.
type CaseloadGroup struct {
	Group Group
	Items []CaseloadItem
	Total int
}

// CaseloadItem is one row. In GroupIdle it represents a family, and Also lists
// the family's other programs without sessions.
type CaseloadItem struct {
	newel.CaseloadRow
	Group    Group
	Detail   program.CaseloadDetail
	Said     criterion.Reading
	Sessions []newel.SessionRow // the latest, oldest first
	Steps    []program.StepRow  // of its strand
	Today    newel.Day          // in the family's zone
	Unsent   int                // sessions still on phones of the family
	Bars     []RuleBar          // why the rule does not advance a step whose criterion is met
	Also     []newel.CaseloadRow
}

// Next returns the step after the learner's current one, or nil.
func (i CaseloadItem) Next() *program.StepRow { return i.step(1) }

// Previous returns the step before the learner's current one, or nil.
func (i CaseloadItem) Previous() *program.StepRow { return i.step(-1) }

func (i CaseloadItem) step(by int) *program.StepRow {
	at := slices.IndexFunc(i.Steps, func(s program.StepRow) bool { return s.Key == i.StepKey })
	if at < 0 || at+by < 0 || at+by >= len(i.Steps) {
		return nil
	}
	return &i.Steps[at+by]
}

// Choices fills in the filter options.
func (c *Caseload) Choices(rows []newel.CaseloadRow, around newel.CaseloadContext) {
	families, programs, supervisors := map[Choice]bool{}, map[Choice]bool{}, map[Choice]bool{}
	for _, r := range rows {
		families[Choice{r.FamilyID.String(), r.Family}] = true
		programs[Choice{r.ProgramID.String(), r.Program}] = true
	}
	for _, l := range around.Looking {
		supervisors[Choice{l.Account.String(), l.Name}] = true
	}
	c.Families, c.Programs, c.Supervisors = choicesOf(families), choicesOf(programs), choicesOf(supervisors)
}

func choicesOf(set map[Choice]bool) []Choice {
	var out []Choice
	for c := range set {
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b Choice) int {
		return cmp.Or(strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), strings.Compare(a.ID, b.ID))
	})
	return out
}

// Rows returns the rows that match the filter.
func (f CaseloadFilter) Rows(rows []newel.CaseloadRow, around newel.CaseloadContext) []newel.CaseloadRow {
	looks := map[newel.FamilyID]bool{}
	for _, l := range around.Looking {
		if l.Account.String() == f.Supervisor {
			looks[l.Family] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(rows), func(r newel.CaseloadRow) bool {
		return f.Family != "" && r.FamilyID.String() != f.Family || f.Program != "" && r.ProgramID.String() != f.Program ||
			f.Supervisor != "" && !looks[r.FamilyID]
	})
}

// Outdated lists up to limit placements whose reading an earlier evaluator made,
// those of rows that need attention first.
func Outdated(rows []newel.CaseloadRow, now time.Time, limit int) []newel.PlacementID {
	var asking, quiet []newel.PlacementID
	for _, r := range rows {
		switch {
		case !r.Gist.Outdated() || r.Stale:
		case GroupOf(r, now) != Quiet:
			asking = append(asking, r.PlacementID)
		default:
			quiet = append(quiet, r.PlacementID)
		}
	}
	list := append(asking, quiet...)
	return list[:min(limit, len(list))]
}

// Arrange sorts the rows into groups and limits them to the number shown.
func (c *Caseload) Arrange(rows []newel.CaseloadRow, around newel.CaseloadContext) {
	grouped := map[Group][]CaseloadItem{}
	for _, r := range rows {
		i := CaseloadItem{
			CaseloadRow: r, Group: GroupOf(r, c.At), Today: newel.DayOf(c.At, timezone.OrUTC(r.TimeZone)), Unsent: around.Unsent[r.FamilyID.String()],
		}
		if r.ByRule {
			i.Bars = RuleBars(r, i.Unsent)
		}
		grouped[i.Group] = append(grouped[i.Group], i)
	}
	grouped[GroupIdle] = byFamily(grouped[GroupIdle])
	for _, g := range Groups {
		items, most := grouped[g], GroupRows
		if c.Filter.Group == g {
			most = AloneRows
		}
		if len(items) > 0 && (c.Filter.Group == "" || c.Filter.Group == g) {
			c.Groups = append(c.Groups, CaseloadGroup{g, items[:min(most, len(items))], len(items)})
		}
	}
	if c.Filter.Group != "" {
		return
	}
	quiet := grouped[Quiet]
	c.sort(quiet)
	c.QuietTotal = len(quiet)
	c.QuietPages = max(1, (len(quiet)+QuietRows-1)/QuietRows)
	c.Filter.Page = min(max(c.Filter.Page, 1), c.QuietPages)
	from := (c.Filter.Page - 1) * QuietRows
	c.Quiet = quiet[from:min(from+QuietRows, len(quiet))]
}

// byFamily merges the rows of each family in the group into one.
func byFamily(items []CaseloadItem) []CaseloadItem {
	var out []CaseloadItem
	for _, i := range items {
		at := slices.IndexFunc(out, func(o CaseloadItem) bool { return o.FamilyID == i.FamilyID })
		if at < 0 {
			out = append(out, i)
			continue
		}
		out[at].Also = append(out[at].Also, i.CaseloadRow)
	}
	return out
}

// sort sorts quiet rows. The sort is stable: rows come in order of learner,
// program and step, which breaks ties.
func (c *Caseload) sort(rows []CaseloadItem) {
	if !slices.Contains(CaseloadSorts, c.Filter.Sort) {
		c.Filter.Sort = CaseloadSorts[0]
	}
	by := func(a, b CaseloadItem) int { return 0 }
	fold := func(a, b string) int { return strings.Compare(strings.ToLower(a), strings.ToLower(b)) }
	switch c.Filter.Sort {
	case "learner":
		by = func(a, b CaseloadItem) int { return fold(a.Learner, b.Learner) }
	case "program":
		by = func(a, b CaseloadItem) int { return fold(a.Program, b.Program) }
	case "step":
		by = func(a, b CaseloadItem) int { return fold(a.StepLabel+a.StepName, b.StepLabel+b.StepName) }
	case "since":
		by = func(a, b CaseloadItem) int { return a.BeganOn.Sub(b.BeganOn) }
	case "sessions":
		by = func(a, b CaseloadItem) int { return a.sessions() - b.sessions() }
	case "last":
		by = func(a, b CaseloadItem) int { return a.last().Sub(b.last()) }
	case "reading":
		by = func(a, b CaseloadItem) int { return fold(a.status(), b.status()) }
	}
	slices.SortStableFunc(rows, func(a, b CaseloadItem) int {
		if c.Filter.Down {
			return by(b, a)
		}
		return by(a, b)
	})
}

func (i CaseloadItem) sessions() int {
	if i.Gist == nil {
		return 0
	}
	return i.Gist.Sessions
}

func (i CaseloadItem) last() newel.Day {
	if i.Gist == nil {
		return newel.Day{}
	}
	return i.Gist.Last
}

func (i CaseloadItem) status() string {
	if i.Gist == nil {
		return ""
	}
	return string(i.Gist.Status)
}

// Shown calls do for every row that the page shows.
func (c *Caseload) Shown(do func(*CaseloadItem) error) error {
	for g := range c.Groups {
		for i := range c.Groups[g].Items {
			if err := do(&c.Groups[g].Items[i]); err != nil {
				return err
			}
		}
	}
	for i := range c.Quiet {
		if err := do(&c.Quiet[i]); err != nil {
			return err
		}
	}
	return nil
}
