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

// How many rows one page shows: of each group, of a group that was asked for
// alone, and of the quiet ones.
const (
	GroupRows = 25
	AloneRows = 200
	QuietRows = 100
)

// CaseloadFilter is what a page of the caseload was asked for. Ids that name
// nothing in reach match no row.
type CaseloadFilter struct {
	Supervisor, Family, Program string // ids; empty: all
	Group                       Group  // this group alone
	Sort                        CaseloadSort
	Down                        bool // descending
	Page                        int  // of the quiet ones, from 1
}

// Narrows reports whether some rows are left out.
func (f CaseloadFilter) Narrows() bool {
	return f.Supervisor+f.Family+f.Program+string(f.Group) != ""
}

// CaseloadSort is an order of the quiet rows.
type CaseloadSort string

// The orders of the quiet rows; the first is the usual one.
var CaseloadSorts = []CaseloadSort{"learner", "program", "step", "since", "sessions", "last", "reading"}

// Caseload is what a supervisor sees first.
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
	Incidents   []newel.Incident // of which the clinic has not said what follows; only where nothing is filtered
	Waiting     []newel.Waiting  // messages that nobody of the clinic has read; only where nothing is filtered
	Agreed      []newel.Action   // what the clinic has still to do; only where nothing is filtered
}

// Choice is something to filter by.
type Choice struct{ ID, Name string }

// Asking counts the rows that ask for a decision.
func (c Caseload) Asking() int {
	n := 0
	for _, g := range c.Groups {
		n += g.Total
	}
	return n
}

// CaseloadGroup holds the rows that ask for the same: as many as are shown.
type CaseloadGroup struct {
	Group Group
	Items []CaseloadItem
	Total int
}

// CaseloadItem is one row. In GroupIdle it stands for a family: Also are its
// other programs without sessions.
type CaseloadItem struct {
	newel.CaseloadRow
	Group    Group
	Detail   program.CaseloadDetail
	Said     criterion.Reading
	Sessions []Session         // the latest, oldest first
	Steps    []program.StepRow // of its strand
	Today    newel.Day         // in the family's zone
	Unsent   int               // sessions that phones of the family still hold
	Bars     []RuleBar         // why the rule of a met step does not advance it
	Also     []newel.CaseloadRow
}

// Next gives the step after the one stood on, or nil.
func (i CaseloadItem) Next() *program.StepRow { return i.step(1) }

// Previous gives the step before the one stood on, or nil.
func (i CaseloadItem) Previous() *program.StepRow { return i.step(-1) }

func (i CaseloadItem) step(by int) *program.StepRow {
	at := slices.IndexFunc(i.Steps, func(s program.StepRow) bool { return s.Key == i.StepKey })
	if at < 0 || at+by < 0 || at+by >= len(i.Steps) {
		return nil
	}
	return &i.Steps[at+by]
}

// Choices lists what the rows can be filtered by.
func (c *Caseload) Choices(rows []newel.CaseloadRow, around newel.CaseloadAround) {
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

// Rows gives the rows that the filter lets through.
func (f CaseloadFilter) Rows(rows []newel.CaseloadRow, around newel.CaseloadAround) []newel.CaseloadRow {
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

// Arrange puts the rows into their groups, and cuts them to what is shown.
func (c *Caseload) Arrange(rows []newel.CaseloadRow, around newel.CaseloadAround) {
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

// byFamily makes one row of all that a family has in the group.
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

// sort orders quiet rows. What they come in is the order by learner, program
// and step, and it decides among equals.
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

// Shown visits every row that the page shows.
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
