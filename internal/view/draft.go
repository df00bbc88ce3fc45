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
	Theirs   map[string]string // what someone else has saved, by field
	Conflict string            // the sentence about the conflict
	Told     bool              // publishing was attempted: the page lists problems above the form

	Published  int
	MayPublish bool
	HandedIn   string // the sentence; empty if the draft does not await sign-off
	Undo, Redo string // what they would do; empty for nothing
	Criterion  *CriterionBox
	Skills     *SkillPick // nil to offer nothing
	HelpScales []Option   // the clinic's prompt hierarchies
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

type fieldKind int

const (
	lineField fieldKind = iota
	areaField
	shortField // a number or a few characters
	choiceField
	tickField // sent with a hidden field, see BoxPrefix
	rareField // a text area that is rarely needed
)

// BoxPrefix begins the name of the hidden field that goes with each checkbox
// of the editor. Browsers send nothing for an unticked box; the hidden field
// says that the form had one.
const BoxPrefix = "box."

type draftField struct {
	name   string
	kind   fieldKind
	needed bool
}

// draftGroup is a group of fields under a heading. A rare group is collapsed
// while it is empty.
type draftGroup struct {
	key    string
	rare   bool
	fields []draftField
}

var programGroups = []draftGroup{
	{key: "what", fields: []draftField{
		{"title", lineField, true},
		{"skill_area", lineField, false},
		{"purpose", areaField, false},
		{"for_whom", areaField, false},
		{"setting", areaField, false},
		{"language", shortField, false},
	}},
	{key: "before", fields: []draftField{
		{"needs", areaField, false},
		{"teaches", areaField, false},
		{"prerequisites", areaField, false},
		{"materials", areaField, false},
		{"cautions", areaField, false},
		{"stop_rule", areaField, false},
	}},
	{key: "how", fields: []draftField{
		{"say", areaField, false},
		{"say_in", rareField, false},
		{"help_levels", areaField, false},
		{"help_procedure", choiceField, false},
		{"wait_seconds", shortField, false},
		{"help_rule", areaField, false},
		{"less_help", lineField, false},
		{"more_help", lineField, false},
		{"if_right", areaField, false},
		{"if_not_yet", areaField, false},
		{"if_says_no", areaField, false},
		{"reinforcing", areaField, false},
		{"thinning", areaField, false},
	}},
	{key: "around", fields: []draftField{
		{"difficulties", areaField, false},
		{"checklist", areaField, false},
		{"generalize", areaField, false},
		{"maintenance_weeks", shortField, false},
		{"maintenance", areaField, false},
		{"sessions_a_week", shortField, false},
		{"weeks", shortField, false},
	}},
}

var roleGroup = draftGroup{key: "role", fields: []draftField{{"role", lineField, true}, {"actions", areaField, false}, {"opens", lineField, false}}}

var stepGroups = []draftGroup{
	{key: "step", fields: []draftField{
		{"label", shortField, true},
		{"phase", lineField, false},
		{"name", lineField, true},
		{"done_when", areaField, false},
		{"say", areaField, false},
		{"context", areaField, false},
	}},
	{key: "session", fields: []draftField{
		{"measure", choiceField, true},
		{"trials", shortField, false},
		{"minutes", shortField, false},
		{"planned_help", choiceField, false},
		{"targets", areaField, false},
	}},
	{key: "fine", rare: true, fields: []draftField{
		{"examples", areaField, false},
		{"non_examples", areaField, false},
		{"limit_seconds", shortField, false},
		{"wait_seconds", shortField, false},
		{"say_in", areaField, false},
		{"notice", areaField, false},
	}},
	{key: "targets", rare: true, fields: []draftField{
		{"choices", shortField, false},
		{"at_once", shortField, false},
		{"order_rule", choiceField, false},
		{"order_block", shortField, false},
		{"order_max_same", shortField, false},
		{"order_known", areaField, false},
		{"order_known_share", shortField, false},
		{"tokens", shortField, false},
		{"card", choiceField, false},
	}},
	{key: "fits", rare: true, fields: []draftField{{"fits_people", lineField, false}, {"fits_place", lineField, false}, {"fits_materials", lineField, false}}},
	{key: "coping", rare: true, fields: []draftField{
		{"coping", tickField, false},
		{"moment", areaField, false},
		{"food_reward", tickField, false},
		{"start_from", choiceField, false},
	}},
	{key: "rules", rare: true, fields: []draftField{
		{"step_back", lineField, false},
		{"advance_by_rule", tickField, false},
		{"rule_long", shortField, false},
		{"rule_floor", shortField, false},
		{"rule_idle", shortField, false},
		{"rules_off", lineField, false},
	}},
}

// quiet reports whether a rare group holds nothing that needs to be visible.
func (m DraftPage) quiet(g draftGroup) bool {
	for _, f := range g.fields {
		name := program.StepField(m.Key, f.name)
		if m.Sheet.Fields[name] != "" || m.Problems[name] != "" || m.Looks[name] != "" {
			return false
		}
		if _, differs := m.Theirs[name]; differs {
			return false
		}
	}
	return true
}

// field returns a field of the editor from the sheet. Its texts are in the
// catalogue under the kind of thing it belongs to and its own name.
func (m DraftPage) field(of, name string, f draftField) Field {
	key := of + "." + f.name
	out := Field{
		Name: name, Label: m.T.Text(key), Value: m.Sheet.Fields[name], Error: m.Problems[name],
		Required: f.needed, Short: f.kind == shortField, Plain: true, Options: m.options(f.name, name),
		Checked: m.Sheet.Fields[name] != "",
	}
	if m.T.Has(key + ".hint") {
		out.Hint = m.T.Text(key + ".hint")
	}
	if f.kind == shortField && name != "language" && f.name != "label" && f.name != "maintenance_weeks" {
		out.Attrs = map[string]any{"inputmode": "decimal"}
	}
	if f.name == "phase" {
		out.Attrs = map[string]any{"list": "phases"}
	}
	return out
}

func formWords(t *message.Printer) Words {
	return Words{Problems: t.Text("form.problems"), ProblemsLead: t.Text("layout.problems_lead")}
}

func (m DraftPage) options(name, full string) []Option {
	var out []Option
	add := func(value, label string) { out = append(out, Option{Value: value, Label: label}) }
	switch name {
	case "measure":
		for _, measure := range program.Measures {
			add(string(measure), m.T.Text("measure."+string(measure)))
		}
	case "help_procedure":
		add("", m.T.Text("draft.not_said"))
		for _, p := range program.HelpProcedures {
			add(string(p), m.T.Text("helping."+string(p)))
		}
	case "order_rule":
		add("", m.T.Text("draft.not_said"))
		for _, rule := range program.OrderRules {
			add(rule, m.T.Text("order."+rule))
		}
	case "start_from":
		add("", m.T.Text("draft.start_default"))
		for _, s := range newel.TrainingStates {
			add(string(s), m.T.Text("training.from."+string(s)))
		}
	case "card":
		add("", m.T.Text("draft.card_shown"))
		add(program.CardHeld, m.T.Text("draft.card_held"))
	case "planned_help":
		add("", m.T.Text("draft.no_help"))
		for _, level := range m.Document.HelpNames() {
			add(level, level)
		}
	default:
		return nil
	}
	// A typed value that is not an option stays as it was typed.
	if v := m.Sheet.Fields[full]; !slices.ContainsFunc(out, func(o Option) bool { return o.Value == v }) {
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
		return m.T.Text("draft.unread_criterion")
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
		state := chart.ToCome
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
}

// said lists findings in the order of the editor.
func (m DraftPage) said(of map[string]string) []Said {
	var out []Said
	add := func(name, where, label, query string) {
		if text := of[name]; text != "" {
			out = append(out, Said{Where: where + label, Text: text, Href: m.Path + query + "#f-" + name, Fixes: m.Fixes[name]})
		}
	}
	for _, g := range programGroups {
		for _, f := range g.fields {
			add(f.name, "", m.T.Text("draftfield."+f.name), "")
		}
	}
	add("steps", "", m.T.Text("draft.the_steps"), "")
	for _, strand := range m.Sheet.Strands {
		for _, f := range roleGroup.fields {
			add(program.StrandField(strand.Key, f.name), m.roleName(strand)+", ", m.T.Text("rolefield."+f.name), PaneQuery(RolePane, strand.Key))
		}
		for _, key := range strand.Steps {
			for _, name := range stepFieldNames {
				add(program.StepField(key, name), m.stepName(key)+", ", m.T.Text("stepfield."+name), PaneQuery(StepPane, key))
			}
		}
	}
	return out
}

// stepFieldNames lists the fields of a step in the order of its form.
var stepFieldNames = func() []string {
	names := []string{"criterion"}
	for _, g := range stepGroups {
		for _, f := range g.fields {
			names = append(names, f.name)
		}
	}
	return names
}()

// problems lists the problems of the fields in the open pane.
func (m DraftPage) problems() []Problem {
	if !m.Told {
		return nil
	}
	var out []Problem
	for _, s := range m.said(m.Problems) {
		if target, here := strings.CutPrefix(s.Href, m.Path+m.here()+"#"); here {
			out = append(out, Problem{Text: s.Where + ": " + s.Text, TargetID: target})
		}
	}
	return out
}
