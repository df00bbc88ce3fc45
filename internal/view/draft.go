package view

import "newel/internal/newel"

// DraftPage is the editor of a program's draft.
type DraftPage struct {
	Token     string
	Path      string // of the editor
	Program   string // path of the program
	Title     string
	Saved     string // "Saved 3 March 2026, 14:05 by Mara."
	Rev       int
	MayPush   bool // may publish
	Sheet     newel.Sheet
	Problems  map[string]string // stops, by field
	Looks     map[string]string // worth a look, by field
	Theirs    map[string]string // what somebody else saved meanwhile, by field
	Conflict  string            // the sentence about it
	Published int
	Told      bool // publishing was tried: problems stand over the form too
}

// field makes a field of the editor from the sheet.
func (m DraftPage) field(name, label, hint string) Field {
	f := Field{Name: name, Label: label, Hint: hint, Value: m.Sheet.Fields[name], Error: m.Problems[name]}
	if look := m.Looks[name]; look != "" && f.Error == "" {
		f.Hint = joinSentences(f.Hint, look)
	}
	if theirs, differs := m.Theirs[name]; differs {
		if theirs == "" {
			theirs = "nothing"
		}
		f.Hint = joinSentences(f.Hint, "Meanwhile saved by somebody else: “"+theirs+"”.")
	}
	return f
}

func joinSentences(a, b string) string {
	if a == "" {
		return b
	}
	return a + " " + b
}

func (m DraftPage) needed(name, label, hint string) Field {
	f := m.field(name, label, hint)
	f.Required = true
	return f
}

func (m DraftPage) short(name, label, hint string) Field {
	f := m.field(name, label, hint)
	f.Short = true
	return f
}

func (m DraftPage) step(key, name, label, hint string) Field {
	return m.field(newel.StepField(key, name), label, hint)
}

func (m DraftPage) number(key, name, label, hint string) Field {
	f := m.short(newel.StepField(key, name), label, hint)
	f.Attrs = map[string]any{"inputmode": "numeric"}
	return f
}

// value is what stands in a field of a step.
func (m DraftPage) value(key, name string) string { return m.Sheet.Fields[newel.StepField(key, name)] }

func (m DraftPage) measure(key string) Field {
	f := m.step(key, "measure", "What is recorded", "")
	f.Required = true
	f.Options = []Option{
		{Value: string(newel.MeasureTrials), Label: "try by try"},
		{Value: string(newel.MeasureCount), Label: "a count in a time"},
		{Value: string(newel.MeasureDuration), Label: "how long"},
		{Value: string(newel.MeasureIntervals), Label: "yes or no in intervals"},
	}
	return f
}

// stepName is what a step is called in the names of its buttons.
func (m DraftPage) stepName(key string) string {
	if name := m.value(key, "label"); name != "" {
		return name
	}
	if name := m.value(key, "name"); name != "" {
		return name
	}
	return "the new step"
}

// problemList lists what stops publishing, in the order of the page.
func (m DraftPage) problemList() []Problem {
	if !m.Told {
		return nil
	}
	var out []Problem
	add := func(name, label string) {
		if text := m.Problems[name]; text != "" {
			out = append(out, Problem{Text: label + ": " + text, TargetID: Field{Name: name}.id()})
		}
	}
	for _, f := range draftFields {
		add(f.name, f.label)
	}
	for _, strand := range m.Sheet.Strands {
		for _, f := range strandFields {
			add(newel.StrandField(strand.Key, f.name), f.label)
		}
		for _, key := range strand.Steps {
			for _, f := range stepFields {
				add(newel.StepField(key, f.name), m.stepName(key)+", "+f.label)
			}
		}
	}
	if text := m.Problems["steps"]; text != "" {
		out = append(out, Problem{Text: text, TargetID: "steps-head"})
	}
	return out
}

type named struct{ name, label string }

var draftFields = []named{
	{"title", "Title"},
	{"skill_area", "Skill area"},
	{"purpose", "Purpose"},
	{"for_whom", "For whom"},
	{"setting", "Where and when"},
	{"language", "Language of teaching"},
	{"prerequisites", "The child already"},
	{"materials", "Things"},
	{"cautions", "Cautions"},
	{"stop_rule", "When to stop"},
	{"help_levels", "Help levels"},
	{"say", "What is said"},
	{"wait_seconds", "Seconds to wait"},
	{"help_rule", "How to help"},
	{"if_right", "If right"},
	{"if_not_yet", "If not yet"},
	{"if_says_no", "If the child says no"},
	{"reinforcing", "What makes it worth it"},
	{"difficulties", "If it is hard"},
	{"checklist", "Done as planned"},
	{"generalize", "Then everywhere"},
	{"maintenance_weeks", "Checks after it is met"},
}

var strandFields = []named{{"role", "Role"}, {"actions", "What this role does"}, {"opens", "Opens after"}}

var stepFields = []named{
	{"label", "label"},
	{"name", "name"},
	{"say", "what is said"},
	{"done_when", "done when"},
	{"context", "who and where"},
	{"targets", "targets"},
	{"measure", "what is recorded"},
	{"trials", "planned tries"},
	{"minutes", "minutes"},
	{"choices", "things to choose from"},
	{"planned_help", "planned help"},
	{"criterion", "criterion"},
	{"step_back", "rule for going back"},
}
