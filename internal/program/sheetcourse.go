package program

import (
	"slices"
	"strconv"
	"strings"

	"newel/internal/criterion"
)

// Rules for the order of a session's targets.
const (
	OrderMassed   = "massed"
	OrderBlocked  = "blocked"
	OrderRotation = "rotation"
)

// OrderRules lists the rules.
var OrderRules = []string{OrderMassed, OrderBlocked, OrderRotation}

// ticked is the value of a set check box in a Sheet; an unset one is empty.
const ticked = "yes"

// ticks returns the step's check boxes.
func (s *Step) ticks() map[string]*bool {
	return map[string]*bool{"advance_by_rule": &s.AdvanceByRule, "coping": &s.Coping, "food_reward": &s.FoodReward}
}

// courseNumbers returns the numbers of a step's order and rules.
func (s *Step) courseNumbers() map[string]*int {
	return map[string]*int{
		"order_block": &s.Order.Block, "order_max_same": &s.Order.MaxSame,
		"rule_long": &s.Rules.Long, "rule_floor": &s.Rules.FloorPercent, "rule_idle": &s.Rules.IdleDays,
	}
}

func (s *Step) courseFields(f map[string]string) {
	for name, tick := range s.ticks() {
		f[StepField(s.Key, name)] = ""
		if *tick {
			f[StepField(s.Key, name)] = ticked
		}
	}
	for name, n := range s.courseNumbers() {
		f[StepField(s.Key, name)] = whole(*n)
	}
	f[StepField(s.Key, "order_rule")] = s.Order.Rule
	f[StepField(s.Key, "order_known")] = strings.Join(s.Order.Known, "\n")
	f[StepField(s.Key, "order_known_share")] = decimal(s.Order.KnownShare)
	f[StepField(s.Key, "rules_off")] = strings.Join(s.Rules.Off, ", ")
}

func (r *sheetReader) courseStep(s *Step) {
	for name, tick := range s.ticks() {
		field := StepField(s.Key, name)
		if *tick = r.text(field) == ticked; !*tick && r.text(field) != "" {
			r.keep(field)
		}
	}
	for name, n := range s.courseNumbers() {
		*n = r.whole(StepField(s.Key, name))
	}
	if name := StepField(s.Key, "order_rule"); r.text(name) == "" || slices.Contains(OrderRules, r.text(name)) {
		s.Order.Rule = r.text(name)
	} else {
		r.keep(name)
	}
	s.Order.Known = r.lines(StepField(s.Key, "order_known"))
	s.Order.KnownShare = r.percent(StepField(s.Key, "order_known_share"))
	s.Rules.Off = r.flags(StepField(s.Key, "rules_off"))
}

func (r *sheetReader) percent(name string) float64 {
	text := r.text(name)
	if text == "" {
		return 0
	}
	n, err := strconv.ParseFloat(text, 64)
	if err != nil || !(n >= 0 && n <= 100) {
		r.keep(name)
		return 0
	}
	return n
}

// flags parses the kinds of flags that are switched off.
func (r *sheetReader) flags(name string) []string {
	list := commaList(r.text(name))
	for _, kind := range list {
		if !slices.Contains(criterion.FlagKinds, criterion.FlagKind(kind)) {
			r.keep(name)
			return nil
		}
	}
	return list
}

// isCourse reports whether a field is a non-numeric one that courseStep may
// leave unread.
func isCourse(name string) bool {
	for _, own := range []string{"order_known_share", "order_rule", "rules_off", "advance_by_rule", "coping", "food_reward"} {
		if strings.HasSuffix(name, "."+own) {
			return true
		}
	}
	return false
}
