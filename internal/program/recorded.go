package program

import (
	"slices"

	"newel/internal/criterion"
	"newel/internal/measure"
	"newel/internal/newel"
)

// Nothing may be asked for that a session cannot record: what this file checks
// is checked before publishing, and again for programs that were published
// before the checks existed.

// maxExpectations is the most that one trial can expect: more do not fit on a
// phone at once.
const maxExpectations = 5

// Records reports whether sessions of the measure record what a goal needs.
func (m Measure) Records(goal criterion.Measure) bool {
	switch m {
	case MeasureLatency:
		return goal.OnTrials() && goal != criterion.Recovery
	case MeasureRecovery:
		return goal.OnTrials() && goal != criterion.Latency
	case MeasureCount:
		return goal == criterion.Rate
	case MeasureDuration:
		return goal == criterion.TotalDuration || goal == criterion.MeanDuration || goal == criterion.LongestDuration
	case MeasureIntervals:
		return goal == criterion.Intervals
	}
	return goal.OnTrials() && goal != criterion.Latency && goal != criterion.Recovery
}

// Recording returns the measures that record what a criterion needs, in form
// order: what a step could record instead.
func Recording(c criterion.Criterion) []Measure {
	return slices.DeleteFunc(slices.Clone(Measures), func(m Measure) bool { return !m.recordsAll(c) })
}

func (m Measure) recordsAll(c criterion.Criterion) bool {
	return m.Records(c.Goal.Measure) && (c.Second == nil || m.Records(c.Second.Measure))
}

// unrecorded reports that the criterion needs something that the step does not
// record, and names the measure that would.
func (c *checker) unrecorded(s *Step, field string, crit criterion.Criterion) bool {
	if !slices.Contains(Measures, s.Measure) || s.Measure.recordsAll(crit) {
		return false
	}
	if instead := Recording(crit); len(instead) > 0 {
		c.block.Add(field, "program.criterion_measure", "measure", string(s.Measure), "instead", string(instead[0]))
	} else {
		c.block.Add(field, "program.criterion_unrecorded", "goal", crit.Goal.String())
	}
	return true
}

// unplanned reports that the criterion counts only sessions of a kind that the
// step never plans.
func (c *checker) unplanned(s *Step, field string, crit criterion.Criterion) bool {
	switch {
	case crit.Only == criterion.ProbesOnly && s.ProbeEvery == 0:
		if _, unparsed := c.d.Unparsed[StepField(s.Key, "probe_every")]; unparsed {
			return false
		}
		c.block.Add(field, "program.criterion_no_probes")
	case crit.Only == criterion.TeachingOnly && s.ProbeEvery == 1:
		c.block.Add(field, "program.criterion_only_probes")
	default:
		return false
	}
	return true
}

// recorded checks what the step's measure needs in order to be recorded.
func (c *checker) recorded(s *Step) {
	need := func(name, key string, missing bool, args ...any) {
		if _, unparsed := c.d.Unparsed[StepField(s.Key, name)]; missing && !unparsed {
			c.block.Add(StepField(s.Key, name), key, args...)
		}
	}
	switch s.Measure {
	case MeasureLatency, MeasureRecovery:
		need("limit_seconds", "program.needs_limit", s.LimitSeconds == 0)
	case MeasureExpectations:
		need("expectations", "program.needs_expectations", len(s.Expectations) < 2 || len(s.Expectations) > maxExpectations, "most", maxExpectations)
	case MeasureChain:
		c.chain(s, need)
	case MeasureIntervals:
		need("interval_kind", "program.needs_interval_kind", !slices.Contains(measure.IntervalKinds, s.IntervalKind))
		need("interval_seconds", "program.needs_interval_seconds", s.IntervalSeconds < minInterval)
		need("minutes", "program.needs_minutes", s.Minutes == 0)
	}
	c.expectations(s)
}

// minInterval is the shortest interval in seconds that a person with one hand
// can mark.
const minInterval = 5

func (c *checker) chain(s *Step, need func(name, key string, missing bool, args ...any)) {
	need("targets", "program.needs_parts", len(s.Targets) < 2)
	need("chain", "program.needs_chain", !slices.Contains(Chains, s.Chain))
	named := slices.ContainsFunc(s.Targets, func(t Target) bool { return t.Name == s.TaughtPart })
	if s.Chain == TotalTask && s.TaughtPart == "" {
		named = true
	}
	need("taught_part", "program.needs_taught_part", len(s.Targets) > 1 && !named, "typed", shortened(s.TaughtPart))
}

func (c *checker) expectations(s *Step) {
	field, seen := StepField(s.Key, "expectations"), map[string]bool{}
	for _, e := range s.Expectations {
		c.block.Line(field, e.Name, newel.MaxName, true)
		if seen[e.Name] {
			c.block.Add(field, "program.target_twice", "target", e.Name)
		}
		seen[e.Name] = true
		checkWordings(&c.block, field, e.In)
	}
}

// Intervals returns how many intervals a session observes, 0 if the step does
// not say how long they are.
func (s *Step) Intervals() int {
	if s.IntervalSeconds <= 0 {
		return 0
	}
	return int(float64(s.Minutes) * 60 / s.IntervalSeconds)
}
