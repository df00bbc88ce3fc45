package view

import (
	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
)

// PlainPage is a program as the learner's family reads it, in family words.
type PlainPage struct {
	T        *message.Printer
	Title    string
	Document *program.Document
	Of       string // the state of the program
	For      string // the learner's name; empty if it is no one's copy
	Own      map[string]newel.StepOverride
	Back     Link
	Phone    func(step string) string // address of a step as shown on the phone; nil for none
}

// dictionary lists trade terms that have family words (common practice). The
// texts are in the catalogue.
var dictionary = []string{
	"target", "cue", "independent", "prompt", "fading", "trial", "opportunity", "mastery", "reinforcement", "incorrect", "correction",
	"generalization", "maintenance", "baseline", "phase", "assent", "integrity",
}

func (m PlainPage) reader() programReader { return programReader{t: m.T, d: m.Document, own: m.Own} }

func (m PlainPage) how() []ReadItem {
	p, d, r := m.Document.Procedure, m.Document, m.reader()
	var c collector
	c.add(ReadItem{Label: m.T.Text("plainly.say"), Lines: r.said(p.Say, p.SayIn), Said: true})
	c.text(m.T.Text("plainly.wait"), r.seconds(p.WaitSeconds))
	c.text(m.T.Text("plainly.help"), p.HelpRule)
	c.text(m.T.Text("plainly.right"), p.IfRight)
	c.text(m.T.Text("dictionary.incorrect"), p.IfNotYet)
	c.text(m.T.Text("dictionary.reinforcement"), d.Reinforcing)
	return c.items
}

func (m PlainPage) safe() []ReadItem {
	d := m.Document
	var c collector
	c.text(m.T.Text("plainly.no"), d.Procedure.IfSaysNo)
	c.text(m.T.Text("draftfield.stop_rule"), d.StopRule)
	c.add(ReadItem{Label: m.T.Text("draftfield.cautions"), Lines: []ReadLine{{Text: d.Cautions}}, Warn: true})
	return c.items
}

func (m PlainPage) after() []ReadItem {
	d := m.Document
	var c collector
	weekly := ""
	if n := len(d.MaintenanceWeeks); n > 0 {
		weekly = m.T.Text("plainly.checked", "n", n, "weeks", weeks(d.MaintenanceWeeks))
	}
	c.list(m.T.Text("dictionary.maintenance"), []string{weekly, d.Maintenance})
	c.text(m.T.Text("dictionary.generalization"), d.Generalize)
	return c.items
}

// step returns what a family reads about a step.
func (m PlainPage) step(was program.Step) []ReadItem {
	t, r, own := m.T, m.reader(), m.Own[was.Key]
	s := was.With(own)
	var c collector
	c.text(t.Text("plainly.moment"), s.Moment)
	c.add(ReadItem{Label: t.Text("plainly.say"), Lines: r.said(s.Say, s.SayIn), Said: true, Own: r.mine(own.Say != nil)})
	targets := make([]ReadLine, len(s.Targets))
	for i, target := range s.Targets {
		targets[i] = ReadLine{Text: target.Name, Picture: target.Picture}
	}
	c.add(ReadItem{Label: t.Text("dictionary.target"), Lines: targets})
	c.text(t.Text("plainly.counts"), s.DoneWhen)
	counts, not, within := "plainly.examples", "plainly.non_examples", "plainly.begin_within"
	if s.Coping {
		counts, not, within = "plainly.steady", "plainly.not_steady", "plainly.back_within"
	}
	c.list(t.Text(counts), s.Examples)
	c.list(t.Text(not), s.NonExamples)
	c.text(t.Text(within), r.seconds(r.limit(s)))
	c.list(t.Text("plainly.with"), []string{s.Context, s.Fits.People, s.Fits.Place, s.Fits.Materials})
	c.text(t.Text("plainly.session"), sessionPlan(t, "read.tries", program.Step{Trials: s.Trials, Minutes: s.Minutes}))
	c.text(t.Text("plainly.planned_help"), s.PlannedHelp)
	if s.WaitSeconds != nil {
		c.text(t.Text("plainly.wait"), t.Text("read.seconds", "n", *s.WaitSeconds))
	}
	if s.Tokens > 0 {
		c.text(t.Text("plainly.tokens"), t.Text("plainly.tokens_text", "n", s.Tokens))
	}
	if s.FoodReward {
		c.add(ReadItem{Label: t.Text("read.food"), Lines: []ReadLine{{Text: t.Text("plainly.food")}}, Warn: true})
	}
	c.add(ReadItem{Label: t.Text("dictionary.mastery"), Lines: []ReadLine{{Text: PlainCriterion(t, m.Document, s)}}, Own: r.mine(own.Criterion != nil)})
	c.text(t.Text("plainly.notice"), s.Notice)
	for _, item := range r.hard(s) {
		item.Label = t.Text("plainly.hard") + ": " + item.Label
		c.add(item)
	}
	return c.items
}

// PlainCriterion says in family words when a step is learned. An invalid
// criterion is shown as typed.
func PlainCriterion(t *message.Printer, d *program.Document, s program.Step) string {
	c, err := criterion.Parse(s.Criterion, d.Vocabulary(&s))
	if err != nil {
		return s.Criterion
	}
	p, n := c.Parts(), max(s.Trials, c.Trials)
	goal := plainGoal(t, s, c.Goal, p.Goal, n)
	if c.Second != nil {
		goal = t.Text("plainly.and", "one", goal, "two", plainGoal(t, s, *c.Second, p.Second, n))
	}
	text := t.Text("plainly.in_row", "goal", goal, "n", c.Window.Need)
	if c.Window.Of > 0 {
		text = t.Text("plainly.in_last", "goal", goal, "need", c.Window.Need, "of", c.Window.Of)
	}
	parts := []string{text}
	for _, part := range []struct {
		key string
		n   int
	}{{"plainly.days", c.Days}, {"plainly.people", c.People}, {"plainly.places", c.Places}, {"plainly.homes", c.Homes}, {"plainly.trials", c.Trials}} {
		if part.n > 0 {
			parts = append(parts, t.Text(part.key, "n", part.n))
		}
	}
	switch c.Only {
	case criterion.ProbesOnly:
		parts = append(parts, t.Text("plainly.only_probes"))
	case criterion.TeachingOnly:
		parts = append(parts, t.Text("plainly.only_teaching"))
	}
	if c.EachTarget {
		parts = append(parts, t.Text("plainly.each"))
	}
	return t.List(parts)
}

// plainGoal describes a goal for sessions with the planned number of tries.
func plainGoal(t *message.Printer, s program.Step, g criterion.Goal, p criterion.GoalParts, n int) string {
	compare := t.Text("compare." + plainCompare[p.Compare])
	if k, ok := g.LeastCorrect(n); ok && n > 0 && (p.Form == criterion.FormAlone || p.Form == criterion.FormHelp) {
		if p.Form == criterion.FormHelp {
			return t.Text("plainly.of_tries_help", "k", k, "n", n, "level", p.Level)
		}
		return t.Text("plainly.of_tries", "k", k, "n", n)
	}
	key := "plainly.goal_" + string(p.Form)
	switch p.Form {
	case criterion.FormAlone:
		key = "plainly.percent_alone"
	case criterion.FormHelp:
		key = "plainly.percent_help"
	}
	return t.Text(key, "compare", compare, "number", p.Number, "level", p.Level, "unit", t.Text("critform."+p.Unit))
}

var plainCompare = map[string]string{
	criterion.AtLeast.String(): "at_least", criterion.Above.String(): "above", criterion.AtMost.String(): "at_most", criterion.Below.String(): "below",
}
