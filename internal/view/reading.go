package view

import (
	"cmp"
	"strconv"
	"strings"

	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
)

// ReadItem is one thing that a program says: its name and its lines.
type ReadItem struct {
	Label string
	Lines []ReadLine
	Said  bool   // words that are spoken
	Warn  bool   // something that can hurt someone
	Own   string // says that it is for one learner only; empty if it is the program's
}

// ReadLine is one line of a ReadItem.
type ReadLine struct {
	Text, Aside string
	Lang        string // BCP 47; empty for the program's language
	Picture     *newel.PictureRef
}

// ReadGroup is a group of items under one heading.
type ReadGroup struct {
	Head  string
	Items []ReadItem
}

// programReader turns a document into text for readers who need all of it.
type programReader struct {
	t   *message.Printer
	d   *program.Document
	own map[string]newel.StepOverride
}

// collector gathers items and omits empty ones.
type collector struct{ items []ReadItem }

func (c *collector) add(item ReadItem) {
	var lines []ReadLine
	for _, l := range item.Lines {
		if l.Text != "" || l.Picture != nil {
			lines = append(lines, l)
		}
	}
	if item.Lines = lines; len(lines) > 0 {
		c.items = append(c.items, item)
	}
}

func (c *collector) text(label, text string) {
	c.add(ReadItem{Label: label, Lines: []ReadLine{{Text: text}}})
}

func (c *collector) list(label string, texts []string) {
	c.add(ReadItem{Label: label, Lines: linesOf(texts)})
}

func linesOf(texts []string) []ReadLine {
	lines := make([]ReadLine, len(texts))
	for i, text := range texts {
		lines[i] = ReadLine{Text: text}
	}
	return lines
}

func (r programReader) stepLabel(field string) string { return r.t.Text("stepfield." + field) }

func (r programReader) programLabel(field string) string { return r.t.Text("draftfield." + field) }

// named returns the catalogue's word for a value, or the value itself if there
// is none.
func (r programReader) named(of, value string) string {
	if key := of + value; value != "" && r.t.Has(key) {
		return r.t.Text(key)
	}
	return value
}

func (r programReader) seconds(n float64) string {
	if n == 0 {
		return ""
	}
	return r.t.Text("read.seconds", "n", n)
}

func counted(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// said returns exact words, in the program's language and in others.
func (r programReader) said(words string, in program.Wordings) []ReadLine {
	lines := []ReadLine{{Text: words}}
	for _, tag := range in.Tags() {
		lines = append(lines, ReadLine{Text: in[tag], Aside: r.t.LanguageName(tag), Lang: tag})
	}
	return lines
}

// show makes the items of fields that need more than a label and a value.
type show map[string]func(*collector)

// section lists the fields of a section of the program's page. Fields of the
// program are read from the program; those of a step, from the step.
func (r programReader) section(section program.Section, s *program.Step, own show) []ReadItem {
	var c collector
	of := program.OfProgram
	if s != nil {
		of = program.OfStep
	}
	for _, f := range program.FieldsIn(of, section) {
		if special := own[f.Name]; special != nil {
			special(&c)
		} else {
			c.add(ReadItem{Label: r.t.Text(f.LabelKey()), Lines: linesOf(r.shown(f, s))})
		}
	}
	return c.items
}

// shown returns the value of a field in words.
func (r programReader) shown(f program.Field, s *program.Step) []string {
	text := r.d.FieldText(f.Name)
	if s != nil {
		text = r.d.StepText(s, f.Name)
	}
	switch {
	case text == "":
		return nil
	case f.UnitKey != "" && f.Kind == program.Whole:
		n, _ := strconv.Atoi(text) // written by the table of fields
		return []string{r.t.Text(f.UnitKey, "n", n)}
	case f.UnitKey != "":
		n, _ := strconv.ParseFloat(text, 64)
		return []string{r.t.Text(f.UnitKey, "n", n)}
	}
	switch f.Kind {
	case program.Choice:
		return []string{r.named(f.ChoiceKey, text)}
	case program.Rule:
		return []string{r.rule(text, cmp.Or(s, &program.Step{}))}
	case program.List:
		return strings.Split(text, "\n")
	case program.Percent:
		n, _ := strconv.ParseFloat(text, 64)
		return []string{num(n)}
	}
	return []string{text}
}

// facts returns the items below the title.
func (r programReader) facts() []ReadItem {
	return r.section(program.Facts, nil, show{
		"language": func(c *collector) { c.text(r.programLabel("language"), r.t.LanguageName(r.d.Language)) },
	})
}

// how returns what applies to every trial of every step.
func (r programReader) how() []ReadItem {
	p := r.d.Procedure
	return r.section(program.How, nil, show{
		"say": func(c *collector) {
			c.add(ReadItem{Label: r.programLabel("say"), Lines: r.said(p.Say, p.SayIn), Said: true})
		},
	})
}

// kept returns what happens after a step is mastered.
func (r programReader) kept() []ReadItem {
	return r.section(program.After, nil, show{
		"maintenance_weeks": func(c *collector) { c.text(r.t.Text("read.checks"), r.checks()) },
	})
}

func (r programReader) checks() string {
	if len(r.d.MaintenanceWeeks) == 0 {
		return ""
	}
	return r.t.Text("read.check_weeks", "n", len(r.d.MaintenanceWeeks), "weeks", weeks(r.d.MaintenanceWeeks))
}

// rule returns a rule for stepping back or for changing prompts, in canonical
// words.
func (r programReader) rule(text string, step *program.Step) string {
	c, err := criterion.ParseStepBack(text, r.d.Vocabulary(step))
	if err != nil {
		return text
	}
	return c.String()
}

// Step returns everything that the program says about a step, except what
// applies to all steps.
func (r programReader) Step(step program.Step) []ReadGroup {
	own, was := r.own[step.Key], step
	step = step.With(own)
	groups := []ReadGroup{
		{r.t.Text("draft.group_step"), r.learned(step)},
		{r.t.Text("draft.group_how"), r.tried(step, own)},
		{r.t.Text("draft.group_session"), r.session(step, own)},
		{r.t.Text("read.group_targets"), r.targets(step)},
		{r.t.Text("read.group_on"), r.movesOn(step, was, own)},
		{r.programLabel("difficulties"), r.hard(step)},
	}
	var out []ReadGroup
	for _, g := range groups {
		if len(g.Items) > 0 {
			out = append(out, g)
		}
	}
	return out
}

func (r programReader) learned(s program.Step) []ReadItem {
	counts, not, within := r.stepLabel("examples"), r.stepLabel("non_examples"), r.stepLabel("limit_seconds")
	if s.Coping {
		counts, not, within = r.t.Text("read.steady"), r.t.Text("read.not_steady"), r.t.Text("read.steady_within")
	}
	items := r.section(program.Learned, &s, show{
		"coping": func(c *collector) {
			if s.Coping {
				c.text(r.t.Text("read.hard_moment"), r.stepLabel("coping"))
			}
		},
		"examples":      func(c *collector) { c.list(counts, s.Examples) },
		"non_examples":  func(c *collector) { c.list(not, s.NonExamples) },
		"limit_seconds": func(c *collector) { c.text(within, r.seconds(r.limit(s))) },
	})
	if s.Picture != nil {
		items = append(items, ReadItem{Label: r.t.Text("read.picture"), Lines: []ReadLine{{Text: s.Picture.Alt, Picture: s.Picture}}})
	}
	return items
}

// limit returns the time in seconds within which a trial begins, or within
// which the child is calm again on a step that practices coping: the step's own
// value, or else its criterion's.
func (r programReader) limit(s program.Step) float64 {
	if s.LimitSeconds > 0 || !s.Coping {
		return s.LimitSeconds
	}
	c, err := criterion.Parse(s.Criterion, r.d.Vocabulary(&s))
	if err != nil {
		return 0
	}
	for _, g := range []*criterion.Goal{&c.Goal, c.Second} {
		if g != nil && (g.Measure == criterion.Latency || g.Measure == criterion.Recovery) {
			return g.Number.Float64()
		}
	}
	return 0
}

func (r programReader) mine(is bool) string {
	if is {
		return r.t.Text("read.own")
	}
	return ""
}

func (r programReader) tried(s program.Step, own newel.StepOverride) []ReadItem {
	return r.section(program.Trial, &s, show{
		"say": func(c *collector) {
			say, in, aside := s.Say, s.SayIn, ""
			if say == "" {
				say, aside = r.d.Procedure.Say, r.t.Text("read.as_program")
			}
			if len(in) == 0 && s.Say == "" {
				in = r.d.Procedure.SayIn
			}
			words := r.said(say, in)
			words[0].Aside = aside
			c.add(ReadItem{Label: r.stepLabel("say"), Lines: words, Said: true, Own: r.mine(own.Say != nil)})
		},
		"wait_seconds": func(c *collector) {
			line := ReadLine{Text: r.seconds(r.d.Procedure.WaitSeconds), Aside: r.t.Text("read.as_program")}
			if s.WaitSeconds != nil {
				line = ReadLine{Text: r.t.Text("read.seconds", "n", *s.WaitSeconds)}
			}
			c.add(ReadItem{Label: r.stepLabel("wait_seconds"), Lines: []ReadLine{line}})
		},
		"planned_help": func(c *collector) {
			help := s.PlannedHelp
			if help == "" && len(r.d.HelpLevels) > 0 {
				help = r.t.Text("read.help_none")
			}
			c.text(r.stepLabel("planned_help"), help)
		},
		"food_reward": func(c *collector) {
			if s.FoodReward {
				c.add(ReadItem{Label: r.t.Text("read.food"), Lines: []ReadLine{{Text: r.stepLabel("food_reward")}}, Warn: true})
			}
		},
	})
}

func (r programReader) session(s program.Step, own newel.StepOverride) []ReadItem {
	return r.section(program.Session, &s, show{
		"trials": func(c *collector) {
			c.add(ReadItem{Label: r.stepLabel("trials"), Lines: []ReadLine{{Text: counted(s.Trials)}}, Own: r.mine(own.Trials != nil)})
		},
	})
}

func (r programReader) targets(s program.Step) []ReadItem {
	return r.section(program.Targets, &s, show{
		"targets": func(c *collector) {
			targets := make([]ReadLine, len(s.Targets))
			for i, t := range s.Targets {
				targets[i] = ReadLine{Text: t.Name, Aside: r.targetAside(t), Picture: t.Picture}
			}
			c.add(ReadItem{Label: r.stepLabel("targets"), Lines: targets})
		},
		"card": func(c *collector) {
			if s.PressToShow {
				c.text(r.stepLabel("card"), r.t.Text("read.held"))
			}
		},
	})
}

// targetAside returns what is shown next to a target's name: its set, its card
// if different, and its name in other languages.
func (r programReader) targetAside(t program.Target) string {
	var parts []string
	if t.Set != "" {
		parts = append(parts, r.t.Text("read.set", "set", t.Set))
	}
	if t.Card != "" && t.Card != t.Name {
		parts = append(parts, r.t.Text("read.card", "card", t.Card))
	}
	for _, tag := range t.In.Tags() {
		parts = append(parts, r.t.LanguageName(tag)+": "+t.In[tag])
	}
	if t.Picture != nil && t.Picture.Alt != "" && t.Picture.Alt != t.Name {
		parts = append(parts, t.Picture.Alt)
	}
	return strings.Join(parts, "; ")
}

func (r programReader) movesOn(s, was program.Step, own newel.StepOverride) []ReadItem {
	return r.section(program.MovingOn, &s, show{
		"criterion": func(c *collector) {
			c.add(ReadItem{Label: r.t.Text("read.criterion"), Lines: []ReadLine{{Text: CriterionText(r.d, s), Aside: r.means(s)}}, Own: r.mine(own.Criterion != nil)})
			if own.Criterion != nil {
				c.text(r.t.Text("read.instead_of"), CriterionText(r.d, was))
			}
		},
		"step_back": func(c *collector) {
			back := ""
			if s.StepBack != "" {
				back = r.rule(s.StepBack, &s)
			}
			c.add(ReadItem{Label: r.stepLabel("step_back"), Lines: []ReadLine{{Text: back}}, Own: r.mine(own.StepBack != nil)})
		},
		"advance_by_rule": func(c *collector) {
			if s.AdvanceByRule {
				c.text(r.t.Text("read.by_rule"), r.stepLabel("advance_by_rule"))
			}
			c.text(r.t.Text("read.checks"), r.checks())
		},
		"rules_off": func(c *collector) {
			off := make([]string, len(s.Rules.Off))
			for i, kind := range s.Rules.Off {
				off[i] = r.named("flag.", kind)
			}
			c.text(r.stepLabel("rules_off"), r.t.List(off))
		},
	})
}

// means returns what a percentage means in a planned session.
func (r programReader) means(s program.Step) string {
	c, err := criterion.Parse(s.Criterion, r.d.Vocabulary(&s))
	n := max(s.Trials, c.Trials)
	if err != nil || n == 0 {
		return ""
	}
	k, ok := c.Goal.LeastCorrect(n)
	if !ok {
		return ""
	}
	return r.t.Text("crit.means", "k", k, "n", n)
}

// hard lists the difficulties that this step addresses.
func (r programReader) hard(s program.Step) []ReadItem {
	var c collector
	for _, x := range r.d.Difficulties {
		for _, key := range x.Steps {
			if key == s.Key {
				c.text(x.Text, x.Answer)
			}
		}
	}
	return c.items
}
