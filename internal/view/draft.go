package view

import (
	"slices"
	"strings"

	"newel/internal/chart"
	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
)

// The panes of the editor. The page shows one at a time.
const (
	ProgramPane = "program"
	StepPane    = "step"
	RolePane    = "role"
	PublishPane = "publish"
)

// DraftPage is the editor of a program's draft.
type DraftPage struct {
	T       *message.Printer
	Token   string
	Path    string // of the editor
	Program newel.ProgramID
	Title   string
	Saved   string // "Saved 14:05 by Mara."
	Who     string // opaque author id; the browser offers unsaved text only to this author
	Rev     int
	Pane    string
	Key     string // of the step or strand shown

	Sheet    program.Sheet
	Document *program.Document // as stored
	Problems map[string]string
	Looks    map[string]string
	Fixes    map[string][]Fix
	Beside   map[string]Beside   // what of both is shown beside a field
	Bases    map[string][]string // what the luck of a criterion is based on, by field
	Theirs   map[string]string   // what someone else has saved, by field
	Conflict string              // the sentence about the conflict
	Told     bool                // publishing was attempted: the page lists problems above the form

	Published  int
	MayPublish bool
	Submitted  string // the sentence; empty if the draft does not await sign-off
	Undo, Redo string // what they would do; empty for nothing
	Criterion  *CriterionBox
	Skills     *SkillPick // nil to offer nothing
	HelpScales []Option   // the clinic's prompt hierarchies
}

// Beside is what the editor shows beside a field: suggestions, and changes that
// would follow them.
type Beside struct {
	Look  string
	Fixes []Fix
}

// Fix is a suggested change for a finding.
type Fix struct{ Label, Value string }

// Suffixes of buttons that open a step: the focus goes to the first field of
// the step, or to its row in the list. Without a suffix it goes to the top of
// the pane.
const (
	ToWrite = "write"
	ToList  = "list"
)

// PaneQuery returns the query that opens a pane.
func PaneQuery(pane, key string) string {
	switch pane {
	case StepPane, RolePane:
		return href.Query("", pane, key)
	case PublishPane:
		return href.Query("", "pane", PublishPane)
	}
	return ""
}

func (m DraftPage) here() string { return PaneQuery(m.Pane, m.Key) }

// onEnter returns what the Enter key does in a one-line field: in a step it
// moves to the next step.
func (m DraftPage) onEnter() string {
	if m.Pane == StepPane {
		return "next:" + m.Key
	}
	return "save"
}

// draftKeyNames are the editor's keys as labeled on a keyboard.
var draftKeyNames = []struct {
	does    string
	presses []string
}{
	{"enter", []string{"Enter"}},
	{"add", []string{"Ctrl Enter"}},
	{"list", []string{"Esc"}},
	{"along", []string{"↑", "↓"}},
	{"move", []string{"Alt ↑", "Alt ↓"}},
	{"undo", []string{"Ctrl Z", "Ctrl Y"}},
	{"save", []string{"Ctrl S"}},
}

// hasRoles reports whether a strand is shown as a role.
func (m DraftPage) hasRoles(strand program.SheetStrand) bool {
	return len(m.Sheet.Strands) > 1 || m.Pane == RolePane || m.Sheet.Fields[program.StrandField(strand.Key, "role")] != ""
}

// BoxPrefix begins the name of the hidden field that goes with each checkbox
// of the editor. Browsers send nothing for an unticked box; the hidden field
// says that the form had one.
const BoxPrefix = "box."

// draftGroup is a group of fields under a heading. A rare group is collapsed
// while it is empty.
type draftGroup struct {
	key    string
	rare   bool
	fields []program.Field
}

var (
	programGroups = draftGroups(program.OfProgram, "what", "before", "how", "around")
	stepGroups    = draftGroups(program.OfStep, "step", "session", "fine", "targets", "fits", "coping", "rules")
)

// rareGroups are the groups that few steps need.
var rareGroups = map[string]bool{"fine": true, "targets": true, "fits": true, "coping": true, "rules": true}

func draftGroups(of program.Owner, keys ...string) []draftGroup {
	groups := make([]draftGroup, len(keys))
	for i, key := range keys {
		groups[i] = draftGroup{key: key, rare: of == program.OfStep && rareGroups[key]}
		for _, f := range program.Fields(of) {
			if f.Group == key {
				groups[i].fields = append(groups[i].fields, f)
			}
		}
	}
	return groups
}

// quiet reports whether a rare group holds nothing that needs to be visible.
func (m DraftPage) quiet(g draftGroup) bool {
	for _, f := range g.fields {
		name := f.SheetName(m.Key)
		if m.Sheet.Fields[name] != "" || m.Problems[name] != "" || m.Looks[name] != "" {
			return false
		}
		if _, differs := m.Theirs[name]; differs {
			return false
		}
	}
	return true
}

// field returns a field of the editor from the sheet.
func (m DraftPage) field(f program.Field) Field {
	name := f.SheetName(m.Key)
	out := Field{
		T: m.T, Name: name, Label: m.T.Text(f.LabelKey()), Value: m.Sheet.Fields[name], Error: m.Problems[name],
		Required: f.Required, Short: f.Short, Plain: true, Options: m.options(f, name),
		Checked: m.Sheet.Fields[name] != "",
	}
	if m.T.Has(f.HintKey()) {
		out.Hint = m.T.Text(f.HintKey())
	}
	switch f.Kind {
	case program.Whole, program.Seconds, program.Percent:
		out.Short, out.Attrs = true, map[string]any{"inputmode": "decimal"}
	}
	if f.Name == "phase" {
		out.Attrs = map[string]any{"list": "phases"}
	}
	return out
}

// options are the values of a choice, the empty one first.
func (m DraftPage) options(f program.Field, name string) []Option {
	if f.Kind != program.Choice {
		return nil
	}
	var out []Option
	add := func(value, label string) { out = append(out, Option{Value: value, Label: label}) }
	if f.NoChoice != "" {
		add("", m.T.Text(f.NoChoice))
	}
	for _, value := range f.Choices {
		add(value, m.T.Text(f.ChoiceKey+value))
	}
	if f.Name == "planned_help" {
		for _, level := range m.Document.HelpNames() {
			add(level, level)
		}
	}
	// A typed value that is not an option stays as it was typed.
	if v := m.Sheet.Fields[name]; !slices.ContainsFunc(out, func(o Option) bool { return o.Value == v }) {
		add(v, v)
	}
	return out
}

// value returns the value of a step's field.
func (m DraftPage) value(key, name string) string {
	return m.Sheet.Fields[program.StepField(key, name)]
}

// stepName returns the name of a step for its buttons.
func (m DraftPage) stepName(key string) string {
	if name := m.value(key, "label"); name != "" {
		return name
	}
	if name := m.value(key, "name"); name != "" {
		return name
	}
	return m.T.Text("draft.new_step")
}

// roleName returns the name of a strand.
func (m DraftPage) roleName(strand program.SheetStrand) string {
	if name := m.Sheet.Fields[program.StrandField(strand.Key, "role")]; name != "" {
		return name
	}
	return m.T.Text("draft.new_role")
}

// strandOf returns the strand of a step, and the step's index in it.
func (m DraftPage) strandOf(step string) (program.SheetStrand, int) {
	for _, s := range m.Sheet.Strands {
		if i := slices.Index(s.Steps, step); i >= 0 {
			return s, i
		}
	}
	return program.SheetStrand{}, -1
}

// countOf counts the findings about the fields of a step or strand, or about
// those of the program itself.
func countOf(said map[string]string, prefix string) int {
	n := 0
	for name := range said {
		if prefix != "" && strings.HasPrefix(name, prefix) || prefix == "" && !strings.Contains(name, ".") && name != "steps" {
			n++
		}
	}
	return n
}

// shortCriterion returns a step's criterion, short enough for the list.
func (m DraftPage) shortCriterion(key string) string {
	text := m.value(key, "criterion")
	_, step := m.Document.Step(key)
	if text == "" || step == nil {
		return m.T.Text("draft.no_criterion")
	}
	c, err := criterion.Parse(text, m.Document.Vocabulary(step))
	if err != nil {
		return m.T.Text("draft.unparsed_criterion")
	}
	return ShortCriterion(m.T, c)
}

// ShortCriterion formats goal and window shorter than their canonical words.
func ShortCriterion(t *message.Printer, c criterion.Criterion) string {
	goal := strings.TrimSuffix(c.Goal.String(), " independent")
	if !c.Window.InARow() {
		return goal + ", " + t.Text("draft.of_last", "need", c.Window.Need, "of", c.Window.Of)
	}
	if c.Window.Need == 1 {
		return goal + ", " + t.Text("draft.once")
	}
	return goal + ", " + t.Text("draft.in_a_row", "n", c.Window.Need)
}

// stair draws the strand with the open step.
func (m DraftPage) stair(strand program.SheetStrand) Stair {
	var s Stair
	for _, key := range strand.Steps {
		state := chart.Ahead
		if key == m.Key {
			state = chart.Current
		}
		s.Breakdown.First = append(s.Breakdown.First, chart.Step{State: state, Help: m.value(key, "planned_help") != "", Label: m.value(key, "label")})
	}
	s.Name = m.T.Text("draft.steps_count", "n", len(strand.Steps))
	return s
}

// maxDrawn is the largest number of stairs that fit above the list of steps.
const maxDrawn = 32

// Said is one finding with its position.
type Said struct {
	Where, Text, Href string
	Fixes             []Fix
	Basis             []string // what the text is based on; empty to show none
}

// messagesFor lists findings in the order of the editor.
func (m DraftPage) messagesFor(of map[string]string) []Said {
	var out []Said
	add := func(name, where, label, query string) {
		if text := of[name]; text != "" {
			out = append(out, Said{Where: where + label, Text: text, Href: m.Path + query + "#f-" + name, Fixes: m.Fixes[name], Basis: m.Bases[name]})
		}
	}
	for _, f := range program.Fields(program.OfProgram) {
		add(f.Name, "", m.T.Text(f.LabelKey()), "")
	}
	add("steps", "", m.T.Text("draft.the_steps"), "")
	for _, strand := range m.Sheet.Strands {
		for _, f := range program.Fields(program.OfRole) {
			add(f.SheetName(strand.Key), m.roleName(strand)+", ", m.T.Text(f.LabelKey()), PaneQuery(RolePane, strand.Key))
		}
		for _, key := range strand.Steps {
			for _, f := range program.Fields(program.OfStep) {
				add(f.SheetName(key), m.stepName(key)+", ", m.T.Text(f.LabelKey()), PaneQuery(StepPane, key))
			}
		}
	}
	return out
}

// problems lists the problems of the fields in the open pane.
func (m DraftPage) problems() []Problem {
	if !m.Told {
		return nil
	}
	var out []Problem
	for _, s := range m.messagesFor(m.Problems) {
		if target, here := strings.CutPrefix(s.Href, m.Path+m.here()+"#"); here {
			out = append(out, Problem{Text: s.Where + ": " + s.Text, TargetID: target})
		}
	}
	return out
}
