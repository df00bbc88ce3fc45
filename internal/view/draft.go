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

// The panes of the editor: one is on the page at a time.
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
	Who     string // opaque: whoever writes; what a browser keeps is offered to them alone
	Rev     int
	Pane    string
	Key     string // of the step or strand shown

	Sheet    program.Sheet
	Document *program.Document // as stored
	Problems map[string]string
	Looks    map[string]string
	Fixes    map[string][]Fix
	Theirs   map[string]string // what somebody else saved meanwhile, by field
	Conflict string            // the sentence about it
	Told     bool              // publishing was tried: problems stand over the form too

	Published  int
	MayPublish bool
	HandedIn   string // the sentence; empty: it does not wait for sign-off
	Undo, Redo string // what they would do; empty: nothing
	Criterion  *CriterionBox
	Skills     *SkillPick // nil: nothing is offered
	HelpScales []Option   // of the clinic, to take help levels from
}

// Fix is a change that is offered for what a check found.
type Fix struct{ Label, Value string }

// What a button that leads to a step may add: the focus goes into its first
// field, or to its row in the list. Otherwise it goes to the beginning of the
// pane.
const (
	ToWrite = "write"
	ToList  = "list"
)

// PaneQuery is the query under which a pane is found.
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

// onEnter is what the Enter key does in a field of one line: in a step it goes
// on to the next one.
func (m DraftPage) onEnter() string {
	if m.Pane == StepPane {
		return "next:" + m.Key
	}
	return "save"
}

// draftKeyNames are the keys of the editor, as they are written on them.
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
	tickField
	rareField // an area that few need
)

type draftField struct {
	name   string
	kind   fieldKind
	needed bool
}

// draftGroup is some fields under one heading; a rare one is folded as long as
// nothing stands in it.
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

// quiet reports whether nothing stands in a rare group that anybody should
// see at once.
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

// field makes a field of the editor from the sheet. The words stand in the
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
	// What was typed and is none of these stays as it was typed.
	if v := m.Sheet.Fields[full]; !slices.ContainsFunc(out, func(o Option) bool { return o.Value == v }) {
		add(v, v)
	}
	return out
}

// value is what stands in a field of a step.
func (m DraftPage) value(key, name string) string {
	return m.Sheet.Fields[program.StepField(key, name)]
}

// stepName is what a step is called in the names of its buttons.
func (m DraftPage) stepName(key string) string {
	if name := m.value(key, "label"); name != "" {
		return name
	}
	if name := m.value(key, "name"); name != "" {
		return name
	}
	return m.T.Text("draft.new_step")
}

// roleName is what a strand is called.
func (m DraftPage) roleName(strand program.SheetStrand) string {
	if name := m.Sheet.Fields[program.StrandField(strand.Key, "role")]; name != "" {
		return name
	}
	return m.T.Text("draft.new_role")
}

// strandOf gives the strand of a step, and where in it the step stands.
func (m DraftPage) strandOf(step string) (program.SheetStrand, int) {
	for _, s := range m.Sheet.Strands {
		if i := slices.Index(s.Steps, step); i >= 0 {
			return s, i
		}
	}
	return program.SheetStrand{}, -1
}

// countOf counts what is said about the fields of a step or strand, or about
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

// shortCriterion is a step's criterion as a list has room for it.
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

// ShortCriterion writes goal and window shorter than their canonical words.
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

// stair draws the strand with the step that is open.
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

// maxDrawn is how many stairs still fit over the list of steps.
const maxDrawn = 32

// Said is one thing that a check says, with where it is.
type Said struct {
	Where, Text, Href string
	Fixes             []Fix
}

// Said lists what checks say, in the order of the editor.
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

// problems lists what is wrong with the fields of the pane that is shown.
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
