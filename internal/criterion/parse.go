package criterion

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"newel/internal/exact"
)

// Vocabulary holds the names that a criterion's words can refer to.
type Vocabulary struct {
	HelpLevels []string // from least to most help
	Targets    []string
	// anyTargets: assume that the step has targets.
	anyTargets bool
}

// Limits of a criterion's numbers.
const (
	maxPercent = 100
	maxWindow  = 50
	maxTrials  = 1000
	maxBreadth = 50
)

// Parse parses a criterion written in words. An error it returns is a
// *ParseError.
func Parse(text string, v Vocabulary) (Criterion, error) {
	p := &parser{scanner: scanner{text: text}, levels: v.HelpLevels}
	if p.atEnd() {
		return Criterion{}, &ParseError{KindEmpty, "", "no criterion is written", exampleWhole}
	}
	p.pos = 0
	if err := p.criterion(); err != nil {
		return Criterion{}, err
	}
	if err := check(p.result, v); err != nil {
		return Criterion{}, err
	}
	return p.result, nil
}

// ParseStepBack parses a step-back rule: the words of a criterion with no
// qualifier other than the number of trials. An error it returns is a
// *ParseError.
func ParseStepBack(text string, v Vocabulary) (Criterion, error) {
	v.anyTargets = true // so that the error is about the rule, not about targets
	c, err := Parse(text, v)
	if err != nil {
		return Criterion{}, err
	}
	plain := Criterion{Goal: c.Goal, Window: c.Window, Trials: c.Trials}
	if plain != c {
		extra := strings.TrimPrefix(c.String(), plain.String())
		return Criterion{}, &ParseError{
			KindStepBack, strings.TrimPrefix(extra, ", "),
			"a rule for going back can only ask for a number of trials", exampleStepBack,
		}
	}
	return c, nil
}

// parser backtracks only where a help level could end in more than one place:
// what follows a goal is passed along as a function and tried for each.
type parser struct {
	scanner
	levels []string
	result Criterion
}

// failed returns a ParseError about everything from the current position on.
func (p *parser) failed(kind ErrorKind, reason, example string) error {
	return &ParseError{kind, shorten(p.rest()), reason, example}
}

// maxPart keeps an error readable even if someone pasted a whole page.
const maxPart = 120

func shorten(part string) string {
	if utf8.RuneCountInString(part) <= maxPart {
		return part
	}
	return string([]rune(part)[:maxPart]) + "…"
}

func (p *parser) criterion() error {
	if done, err := p.shorthand(); done || err != nil {
		return err
	}
	return p.goal(func(g Goal) error {
		w, err := p.window()
		if err != nil {
			return err
		}
		return p.qualifiers(Criterion{Goal: g, Window: w})
	})
}

// shorthand parses 3x100%, the usual notation for three sessions in a row at
// 100 % (common practice).
func (p *parser) shorthand() (done bool, err error) {
	start := p.pos
	n, found := p.number()
	if !found || !p.sign("x", "X", "×") {
		p.pos = start
		return false, nil
	}
	after := p.pos
	percent, found := p.number()
	if !found || !p.sign("%") {
		p.pos = after
		return false, p.failed(KindGoal, "a percentage must follow", exampleShorthand)
	}
	p.pos = start
	need, err := p.wholeIn(n, 1, maxWindow, "sessions", exampleShorthand)
	if err != nil {
		return false, err
	}
	if err := p.percentage(percent); err != nil {
		return false, err
	}
	p.pos = after
	p.number()
	p.sign("%")
	return true, p.qualifiers(Criterion{Goal: Goal{Number: percent.value}, Window: Window{Need: need}})
}

func (p *parser) goal(then func(Goal) error) error {
	switch {
	case p.phrase("first trial correct"):
		return then(Goal{Measure: FirstTrial, Number: exact.Int(100)})
	case p.phrase("a response within"):
		return p.seconds(Latency, then)
	case p.phrase("steady again within"):
		return p.seconds(Recovery, then)
	}
	start := p.pos
	compare, compared := p.comparison()
	n, found := p.number()
	if !found {
		if compared {
			return p.failed(KindNumber, "a number must follow", exampleWhole)
		}
		return p.failed(KindGoal, "a goal is needed here, such as a percentage", exampleWhole)
	}
	if n.err != nil {
		return numberError(n)
	}
	if p.sign("%") {
		if err := p.percentage(n); err != nil {
			return err
		}
		return p.percentGoal(Goal{Comparison: compare, Number: n.value}, then)
	}
	if p.phrase("errors") || p.phrase("error") {
		if compared && compare != AtMost {
			p.pos = start
			return p.failed(KindGoal, "errors can only be counted with at most", exampleErrors)
		}
		if _, ok := n.whole(); !ok {
			return &ParseError{KindNumber, n.text, "errors must be a whole number", exampleErrors}
		}
		return then(Goal{Measure: Errors, Comparison: AtMost, Number: n.value})
	}
	return p.measuredGoal(Goal{Comparison: compare, Number: n.value}, then)
}

func (p *parser) comparison() (Comparison, bool) {
	for c := AtLeast; c <= Above; c++ {
		if p.phrase(c.String()) {
			return c, true
		}
	}
	return AtLeast, false
}

// seconds parses the time of a goal that something happens within.
func (p *parser) seconds(m Measure, then func(Goal) error) error {
	n, found := p.number()
	if !found {
		return p.failed(KindNumber, "a number of seconds must follow", exampleSecond)
	}
	if n.err != nil {
		return numberError(n)
	}
	if !p.phrase("seconds") && !p.phrase("second") {
		return p.failed(KindGoal, "the time must be in seconds", exampleSecond)
	}
	return then(Goal{Measure: m, Comparison: AtMost, Number: n.value})
}

func (p *parser) percentGoal(g Goal, then func(Goal) error) error {
	switch {
	case p.phrase("of intervals"):
		g.Measure = Intervals
		return then(g)
	case p.phrase("with help up to"):
		return p.helpGoal(g, then)
	}
	_ = p.phrase("correct") || p.phrase("independent")
	return then(g)
}

// helpGoal tries the levels that match here, longest first, until the rest can
// be parsed after one of them.
func (p *parser) helpGoal(g Goal, then func(Goal) error) error {
	type candidate struct {
		level string
		end   int
		same  bool
	}
	var candidates []candidate
	start := p.pos
	for _, level := range p.levels {
		if same, ok := p.level(level); ok {
			candidates = append(candidates, candidate{level, p.pos, same})
			p.pos = start
		}
	}
	if len(candidates) == 0 {
		if len(p.levels) == 0 {
			return p.failed(KindLevel, "this step has no help levels", exampleWhole)
		}
		return p.failed(KindLevel, "this help level is not one of the step's",
			"80% with help up to "+p.levels[0]+" in 3 sessions in a row")
	}
	slices.SortStableFunc(candidates, func(a, b candidate) int {
		if a.end == b.end && a.same != b.same {
			if a.same {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.end, a.end)
	})
	var first error
	for _, c := range candidates {
		p.pos, g.Level = c.end, c.level
		err := then(g)
		if err == nil {
			return nil
		}
		if first == nil {
			first = err
		}
	}
	return first
}

// measuredGoal parses what follows a number without a percent sign.
func (p *parser) measuredGoal(g Goal, then func(Goal) error) error {
	if p.phrase("per minute") {
		g.Measure = Rate
		return then(g)
	}
	switch {
	case p.phrase("seconds") || p.phrase("second"):
	case p.phrase("minutes") || p.phrase("minute"):
		g.Minutes = true
	default:
		return p.failed(KindGoal, "the number needs a unit: %, per minute, seconds, minutes or errors", exampleWhole)
	}
	for m := TotalDuration; m <= LongestDuration; m++ {
		if p.phrase(aggregateWords[m]) {
			g.Measure = m
			return then(g)
		}
	}
	return p.failed(KindGoal, "a duration must be in total, on average or at longest", "60 seconds in total in 3 sessions in a row")
}

func (p *parser) window() (Window, error) {
	if !p.phrase("in") {
		return Window{}, p.failed(KindWindow, "after the goal, say in how many sessions", exampleWhole)
	}
	n, found := p.number()
	if !found {
		return Window{}, p.failed(KindWindow, "a number of sessions must follow", exampleWhole)
	}
	need, err := p.wholeIn(n, 1, maxWindow, "sessions", exampleWhole)
	if err != nil {
		return Window{}, err
	}
	if p.phrase("of the last") {
		return p.ofTheLast(need)
	}
	if !p.phrase("sessions") && !p.phrase("session") {
		return Window{}, p.failed(KindWindow, "“sessions” or “of the last 5 sessions” must follow", exampleOfLast)
	}
	p.phrase("in a row")
	return Window{Need: need}, nil
}

func (p *parser) ofTheLast(need int) (Window, error) {
	n, found := p.number()
	if !found {
		return Window{}, p.failed(KindWindow, "a number of sessions must follow", exampleOfLast)
	}
	of, err := p.wholeIn(n, 1, maxWindow, "sessions", exampleOfLast)
	if err != nil {
		return Window{}, err
	}
	if of < need {
		return Window{}, &ParseError{
			KindRange, fmt.Sprintf("%d of the last %d", need, of),
			"it asks for more sessions than it looks at", exampleOfLast,
		}
	}
	if !p.phrase("sessions") && !p.phrase("session") {
		return Window{}, p.failed(KindWindow, "“sessions” must follow", exampleOfLast)
	}
	return Window{Need: need, Of: of}, nil
}

// qualifiers parses the rest of the text.
func (p *parser) qualifiers(c Criterion) error {
	if p.atEnd() {
		p.result = c
		return nil
	}
	if !p.sign(",") {
		return p.failed(KindQualifier, "each condition needs a comma before it", exampleTrials)
	}
	start := p.pos
	switch {
	case p.phrase("and"):
		return p.second(c, start)
	case p.phrase("each target"):
		return p.once(c.EachTarget, start, c, func(c *Criterion) { c.EachTarget = true })
	case p.phrase("probes only"):
		return p.once(c.Only != AnyKind, start, c, func(c *Criterion) { c.Only = ProbesOnly })
	case p.phrase("teaching only"):
		return p.once(c.Only != AnyKind, start, c, func(c *Criterion) { c.Only = TeachingOnly })
	case p.phrase("across"):
		return p.across(c, start)
	}
	return p.trials(c, start)
}

// once sets a part of the criterion unless it was already set.
func (p *parser) once(before bool, start int, c Criterion, set func(*Criterion)) error {
	if before {
		return p.twice(start)
	}
	set(&c)
	return p.qualifiers(c)
}

func (p *parser) twice(start int) error {
	p.pos = start
	return p.failed(KindTwice, "this can appear only once, and only one of probes only and teaching only", exampleWhole)
}

func (p *parser) second(c Criterion, start int) error {
	if c.Second != nil {
		return p.twice(start)
	}
	return p.goal(func(g Goal) error {
		c := c
		c.Second = &g
		return p.qualifiers(c)
	})
}

func (p *parser) trials(c Criterion, start int) error {
	n, found := p.number()
	if !found || !p.phrase("or more trials") && !p.phrase("or more trial") {
		p.pos = start
		return p.failed(KindQualifier,
			"this is not understood; after a comma can stand: 5 or more trials, each target, probes only, teaching only, across 2 days (people, places, homes), and another goal",
			exampleBreadth)
	}
	least, err := p.wholeIn(n, 1, maxTrials, "trials", exampleTrials)
	if err != nil {
		return err
	}
	return p.once(c.Trials != 0, start, c, func(c *Criterion) { c.Trials = least })
}

func (p *parser) across(c Criterion, start int) error {
	n, found := p.number()
	if !found {
		return p.failed(KindQualifier, "a number must follow", exampleBreadth)
	}
	least, err := p.wholeIn(n, 1, maxBreadth, "days, people, places or homes", exampleBreadth)
	if err != nil {
		return err
	}
	switch {
	case p.phrase("days") || p.phrase("day"):
		return p.once(c.Days != 0, start, c, func(c *Criterion) { c.Days = least })
	case p.phrase("people") || p.phrase("person"):
		return p.once(c.People != 0, start, c, func(c *Criterion) { c.People = least })
	case p.phrase("places") || p.phrase("place"):
		return p.once(c.Places != 0, start, c, func(c *Criterion) { c.Places = least })
	case p.phrase("homes") || p.phrase("home"):
		return p.once(c.Homes != 0, start, c, func(c *Criterion) { c.Homes = least })
	}
	return p.failed(KindQualifier, "days, people, places or homes must follow", exampleBreadth)
}

// wholeIn returns a number that must be whole and between low and high.
func (p *parser) wholeIn(n number, low, high int, of, example string) (int, error) {
	if n.err != nil {
		return 0, numberError(n)
	}
	i, ok := n.whole()
	if !ok {
		return 0, &ParseError{KindNumber, shorten(n.text), "a whole number is needed here", example}
	}
	if i < low || i > high {
		return 0, &ParseError{KindRange, n.text, fmt.Sprintf("from %d to %d %s can be asked for", low, high, of), example}
	}
	return i, nil
}

func (p *parser) percentage(n number) error {
	if n.err != nil {
		return numberError(n)
	}
	if exact.Int(maxPercent).Less(n.value) {
		return &ParseError{KindRange, shorten(n.text) + "%", "a percentage is from 0 to 100", exampleWhole}
	}
	return nil
}

func numberError(n number) error {
	return &ParseError{
		KindNumber, shorten(n.text),
		"numbers are written like 12 or 66.7, with at most 6 digits after the point", exampleWhole,
	}
}

// check verifies that a parsed criterion has what its parts require.
func check(c Criterion, v Vocabulary) error {
	if c.EachTarget {
		if c.Goal.Measure != Accuracy && c.Goal.Measure != FirstTrial {
			return &ParseError{KindNeeds, "each target", "only percentages of trials and first trials can be asked of each target", exampleTargets}
		}
		if len(v.Targets) == 0 && !v.anyTargets {
			return &ParseError{KindNeeds, "each target", "this step lists no targets", exampleWhole}
		}
	}
	if c.Trials > 0 && !c.Goal.Measure.OnTrials() && (c.Second == nil || !c.Second.Measure.OnTrials()) {
		return &ParseError{
			KindNeeds, fmt.Sprintf("%d or more trials", c.Trials),
			"the goal is not measured on trials, so their number cannot be asked for", exampleTrials,
		}
	}
	return nil
}
