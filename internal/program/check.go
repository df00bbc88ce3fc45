package program

import (
	"maps"
	"slices"
	"strings"

	"newel/internal/criterion"
	"newel/internal/exact"
	"newel/internal/newel"
)

// Severity is how serious a finding about a program is.
type Severity int

// The severities.
const (
	BlocksPublishing Severity = iota
	Suggestion
)

// Finding is something that Check found. Its Problem refers to a field of the
// document's Sheet.
type Finding struct {
	newel.Problem
	Severity Severity
}

// Limits of a program. maxPlanned is the maximum number of trials in a
// criterion; anything with more steps than maxSteps should be several programs.
const (
	maxPlanned = 1000
	maxSteps   = 200
	maxLabel   = 12 // a label is drawn inside a stair
)

// checker collects findings. stops are collected in an Invalid so that it can
// check texts with Invalid's methods.
type checker struct {
	block   newel.Invalid
	suggest newel.Invalid
	d       *Document
}

// Check returns what blocks publishing the document, followed by what a
// supervisor may want to reconsider.
func (d *Document) Check() []Finding {
	c := &checker{d: d}
	c.unparsed()
	c.texts()
	c.help()
	c.procedure()
	c.strands()
	c.skills()
	c.care()
	var out []Finding
	for _, p := range c.block.Problems {
		out = append(out, Finding{p, BlocksPublishing})
	}
	for _, p := range c.suggest.Problems {
		out = append(out, Finding{p, Suggestion})
	}
	return out
}

// Publishable returns an *Invalid with everything that blocks publishing, or
// nil.
func (d *Document) Publishable() error {
	var e newel.Invalid
	for _, f := range d.Check() {
		if f.Severity == BlocksPublishing {
			e.Problems = append(e.Problems, f.Problem)
		}
	}
	return e.OrNil()
}

func (c *checker) unparsed() {
	for _, name := range slices.Sorted(maps.Keys(c.d.Unparsed)) {
		key := "program.number"
		if f, known := FieldNamed(name); known && f.UnparsedKey != "" {
			key = f.UnparsedKey
		}
		c.block.Add(name, key, "typed", shortened(c.d.Unparsed[name]), "most", maxPlanned)
	}
}

func shortened(text string) string {
	if r := []rune(text); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return text
}

func (c *checker) texts() {
	for _, row := range programFields {
		if row.check != nil {
			row.check(&c.block, c.d, row.Name)
		}
	}
}

func (c *checker) help() {
	seen := map[string]bool{}
	for _, l := range c.d.HelpLevels {
		c.block.Line("help_levels", l.Name, newel.MaxName, true)
		folded := strings.ToLower(l.Name)
		if seen[folded] {
			c.block.Add("help_levels", "program.help_twice", "level", l.Name)
		}
		seen[folded] = true
	}
	if c.d.HasTouch() {
		c.suggest.Add("help_levels", "program.touch")
	}
}

// care checks what protects the child and is easily forgotten.
func (c *checker) care() {
	if c.d.StopRule == "" {
		c.suggest.Add("stop_rule", "program.no_stop_rule")
	}
	if c.d.Procedure.IfSaysNo == "" {
		c.suggest.Add("if_says_no", "program.no_says_no")
	}
	if c.d.Purpose == "" {
		c.suggest.Add("purpose", "program.no_purpose")
	}
}

func (c *checker) strands() {
	keys, roles, steps := map[string]bool{}, map[string]bool{}, 0
	unique := func(key string) {
		if !KnownKey(key) || keys[key] {
			c.block.Add("steps", "program.keys")
		}
		keys[key] = true
	}
	for i := range c.d.Strands {
		s := &c.d.Strands[i]
		unique(s.Key)
		for _, row := range roleFields {
			if row.check != nil {
				row.check(&c.block, s, StrandField(s.Key, row.Name))
			}
		}
		if s.Role.Name == "" && len(c.d.Strands) > 1 {
			c.block.Add(StrandField(s.Key, "role"), "field.required")
		}
		if role := strings.ToLower(s.Role.Name); roles[role] && role != "" {
			c.block.Add(StrandField(s.Key, "role"), "program.role_twice", "role", s.Role.Name)
		} else {
			roles[role] = true
		}
		if len(s.Steps) == 0 && len(c.d.Strands) > 1 {
			c.block.Add(StrandField(s.Key, "role"), "program.role_empty")
		}
		labels := map[string]bool{}
		for j := range s.Steps {
			unique(s.Steps[j].Key)
			c.step(&s.Steps[j], labels)
		}
		steps += len(s.Steps)
	}
	if steps == 0 {
		c.block.Add("steps", "program.no_steps")
	}
	if steps > maxSteps {
		c.block.Add("steps", "program.too_many_steps", "limit", maxSteps)
	}
	c.openings()
}

func (c *checker) openings() {
	fromStart := false
	for _, s := range c.d.Strands {
		fromStart = fromStart || len(s.Opens) == 0
		field := StrandField(s.Key, "opens")
		for _, o := range s.Opens {
			strand, step := c.d.Step(o.Step)
			if step == nil || strand.Key != o.Strand {
				c.block.Add(field, "program.opens_unknown", "typed", o.Step)
			}
		}
		if c.opensAfter(s.Key, s.Key, map[string]bool{}) {
			c.block.Add(field, "program.opens_cycle")
		}
	}
	if len(c.d.Strands) > 0 && !fromStart {
		c.block.Add(StrandField(c.d.Strands[0].Key, "opens"), "program.opens_never")
	}
}

// opensAfter reports whether the strand opens, directly or indirectly, after a
// step of the target strand.
func (c *checker) opensAfter(strand, target string, seen map[string]bool) bool {
	s := c.d.Strand(strand)
	if s == nil || seen[strand] {
		return false
	}
	seen[strand] = true
	for _, o := range s.Opens {
		if o.Strand == target || c.opensAfter(o.Strand, target, seen) {
			return true
		}
	}
	return false
}

func (c *checker) step(s *Step, labels map[string]bool) {
	field := func(name string) string { return StepField(s.Key, name) }
	for _, row := range stepFields {
		if row.check != nil {
			row.check(&c.block, s, field(row.Name))
		}
	}
	if folded := strings.ToLower(s.Label); folded != "" {
		if labels[folded] {
			c.block.Add(field("label"), "program.label_twice", "label", s.Label)
		}
		labels[folded] = true
	}
	c.stepWords(s)
	if s.DoneWhen == "" {
		c.suggest.Add(field("done_when"), "program.no_done_when")
	}
	c.targets(s, field("targets"))
	if s.PlannedHelp != "" && !slices.Contains(c.d.HelpNames(), s.PlannedHelp) {
		c.block.Add(field("planned_help"), "program.help_unknown", "level", s.PlannedHelp)
	}
	if !slices.Contains(Measures, s.Measure) {
		c.block.Add(field("measure"), "program.measure")
	}
	_, unparsed := c.d.Unparsed[field("trials")]
	if !unparsed && s.Measure.ByTrial() && (s.Trials < 1 || s.Trials > maxPlanned) {
		c.block.Add(field("trials"), "program.trials", "most", maxPlanned)
	}
	if !s.StartFrom.Known() {
		c.block.Add(field("start_from"), "program.start_from", "typed", shortened(string(s.StartFrom)))
	}
	if own := *s; s.StartFrom != newel.TrainingNone {
		if own.StartFrom = newel.TrainingNone; !s.StartFrom.Reaches(c.d.StartsFrom(&own, true)) {
			c.suggest.Add(field("start_from"), "program.start_low")
		}
	}
	if s.Choices == 1 {
		c.block.Add(field("choices"), "program.choices")
	}
	if s.FoodReward {
		c.suggest.Add(field("name"), "program.food")
	}
	c.recorded(s)
	c.criterion(s)
}

func (c *checker) targets(s *Step, field string) {
	seen := map[string]bool{}
	for _, t := range s.Targets {
		c.block.Line(field, t.Name, newel.MaxName, true)
		if seen[t.Name] {
			c.block.Add(field, "program.target_twice", "target", t.Name)
		}
		seen[t.Name] = true
	}
}

func (c *checker) criterion(s *Step) {
	v := c.d.Vocabulary(s)
	crit, err := criterion.Parse(s.Criterion, v)
	if err != nil {
		c.unreadable(StepField(s.Key, "criterion"), err)
	} else {
		c.goal(s, crit)
	}
	c.rule(StepField(s.Key, "step_back"), s.StepBack, v)
}

func (c *checker) unreadable(field string, err error) { c.block.AddUnreadable(field, err) }

// goal compares the criterion's requirements with the step's plan.
func (c *checker) goal(s *Step, crit criterion.Criterion) {
	field := StepField(s.Key, "criterion")
	c.unreachable(field, crit)
	if c.unrecorded(s, field, crit) || c.unplanned(s, field, crit) {
		return
	}
	if s.Trials == 0 || !s.Measure.ByTrial() {
		return
	}
	if crit.Trials > s.Trials {
		c.block.Add(field, "program.trials_below_criterion", "asked", crit.Trials, "planned", s.Trials)
	}
	if taught := s.taughtAtOnce(); crit.EachTarget && s.Trials < taught {
		c.block.Add(field, "program.trials_below_targets", "targets", taught, "planned", s.Trials)
	}
	if n := max(s.Trials, crit.Trials); onlyAll(crit, n) {
		c.suggest.Add(field, "program.only_all", "percent", crit.Goal.Number.String(), "trials", n)
	}
	if crit.Goal.Level != "" && c.d.Touches(crit.Goal.Level) {
		c.suggest.Add(field, "program.criterion_touch", "level", crit.Goal.Level)
	}
}

// taughtAtOnce returns how many targets one session has.
func (s *Step) taughtAtOnce() int {
	if s.AtOnce > 0 {
		return min(s.AtOnce, len(s.Targets))
	}
	return len(s.Taught())
}

// onlyAll reports whether all of n trials must be correct to meet a goal of
// less than 100 %: 80 % of 3 is 3 of 3.
func onlyAll(crit criterion.Criterion, n int) bool {
	g := crit.Goal
	if g.Measure != criterion.Accuracy || g.LowerIsBetter() || g.Number.Cmp(exact.Int(100)) >= 0 {
		return false
	}
	allButOne := exact.Frac(100*int64(n-1), int64(n))
	order := allButOne.Cmp(g.Number)
	return order < 0 || order == 0 && g.Comparison == criterion.Above
}
