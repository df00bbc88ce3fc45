package view

import (
	"math"
	"slices"

	"newel/internal/criterion"
	"newel/internal/measure"
)

// Finding is a sentence about a placement that opens to what it is based on.
type Finding struct {
	ID     string // unique on the page
	Text   string
	Rule   string // how it was found, in one sentence
	Groups []FindingGroup
	More   *Link // to the sessions, if the page does not have them all
}

// FindingGroup is some of the sessions that a finding is based on.
type FindingGroup struct {
	Name     string // empty if there is only one group
	Sessions []FindingSession
}

// FindingSession is one session of a finding.
type FindingSession struct{ Day, Value, Href string }

// rated lists the sessions that count and can qualify, oldest first.
func (s Stay) rated() []Recorded {
	return slices.DeleteFunc(slices.Clone(s.Sessions), func(r Recorded) bool {
		return !r.Read.Counted || r.Read.Barred != criterion.NotBarred
	})
}

// LookBack lists the sessions that the reading's progress compares, oldest
// first; nil if the page does not have them all. They follow the latest change
// of planned help, so they are the latest ones in any case.
func (s Stay) LookBack() []Recorded {
	if s.Said.Progress == nil {
		return nil
	}
	return s.LastCompared(s.Said.Progress.Sessions)
}

// LastCompared lists the latest n rated sessions without probes, unless only
// probes count; nil if the page does not have them all.
func (s Stay) LastCompared(n int) []Recorded {
	return latestOf(slices.DeleteFunc(s.rated(), func(r Recorded) bool {
		return r.Of.Kind == criterion.Probe && s.Criterion.Only != criterion.ProbesOnly
	}), n)
}

// LastRated lists the latest n rated sessions; nil if the page does not have
// them all.
func (s Stay) LastRated(n int) []Recorded { return latestOf(s.rated(), n) }

func latestOf(list []Recorded, n int) []Recorded {
	if len(list) < n {
		return nil
	}
	return list[len(list)-n:]
}

// Weighed lists the sessions whose trials the reading's evidence counts; nil if
// the page does not have them all. They end with the one at which the criterion
// was met, and have exactly that many trials.
func (s Stay) Weighed() []Recorded {
	if s.Said.Evidence == nil || s.Said.MetBy == nil {
		return nil
	}
	list := s.rated()
	end := slices.IndexFunc(list, func(r Recorded) bool { return r.Of.ID == *s.Said.MetBy })
	if s.Criterion.EachTarget { // its trials are those of one target
		return s.WithIDs(s.Met())
	}
	trials := 0
	for from := end; from >= 0; from-- {
		_, scored := s.tally(list[from])
		if s.Criterion.Goal.Measure == criterion.FirstTrial {
			scored = min(scored, 1)
		}
		if trials += scored; trials >= s.Said.Evidence.Trials {
			if trials > s.Said.Evidence.Trials {
				return nil
			}
			return list[from : end+1]
		}
	}
	return nil
}

// WithIDs lists the sessions with these ids, oldest first.
func (s Stay) WithIDs(ids []string) []Recorded {
	return slices.DeleteFunc(slices.Clone(s.Sessions), func(r Recorded) bool { return !slices.Contains(ids, r.Of.ID) })
}

// OfTarget returns the placement as one target has it, for a step whose targets
// are mastered individually: its trials and what the reading says about it.
func (s Stay) OfTarget(target criterion.TargetReading) Stay {
	out := s
	out.Said = criterion.Reading{
		Status: target.Status, MetBy: target.MetBy, Estimate: target.Estimate, Progress: target.Progress,
		Evidence: target.Evidence, Totals: target.Totals,
	}
	for _, kind := range target.Flags {
		out.Said.Flags = append(out.Said.Flags, criterion.Flag{Kind: kind})
	}
	out.Sessions = nil
	for _, r := range s.Sessions {
		r.Of.Trials = slices.DeleteFunc(slices.Clone(r.Of.Trials), func(t measure.Trial) bool { return t.Target != target.Target })
		r.Read.Value = nil // it is that of all targets
		if _, scored := s.tally(r); scored > 0 {
			out.Sessions = append(out.Sessions, r)
		}
	}
	return out
}

// TargetName returns a target's name; a deleted target has only its position.
func (s Stay) TargetName(key string) string { return s.target(key) }

// RuleResult returns a session's result as the rules about progress compare
// it: trials correct with no more than the planned help count as correct.
func (s Stay) RuleResult(r Recorded) string {
	if s.Criterion.Goal.Measure != criterion.Accuracy || s.Criterion.EachTarget || len(r.Of.Trials) == 0 {
		return s.Worth(r)
	}
	return s.share(s.ruleTally(r))
}

// ruleTally counts the correct and scored trials as the rules do.
func (s Stay) ruleTally(r Recorded) (correct, scored int) {
	scale := measure.Scale(s.Levels)
	planned, _ := scale.Rank(r.Of.PlannedHelp)
	return measure.Tally(r.Of.Trials, scale, max(s.most(), planned))
}

// Worth returns a session's result with its value as a percentage.
func (s Stay) Worth(r Recorded) string {
	if s.Criterion.Goal.Measure == criterion.Accuracy && !s.Criterion.EachTarget {
		return s.share(s.tally(r))
	}
	if r.Read.Over || r.Read.Value == nil {
		return s.Result(r)
	}
	return s.Value(r.Read.Value)
}

func (s Stay) share(correct, scored int) string {
	if scored == 0 {
		return s.T.Text("value.none")
	}
	return s.T.Text("finding.share", "percent", s.T.Percent(100*float64(correct)/float64(scored)), "share", s.T.OutOf(correct, scored))
}

// Value returns a value of the criterion's first goal with its unit; nil is one
// over the limit. A duration has the minutes of a goal written in minutes, and
// the seconds that graphs are drawn in.
func (s Stay) Value(v *float64) string {
	if v == nil {
		return s.T.Text("value.over")
	}
	if s.Criterion.Goal.Minutes {
		return s.T.Text("value.minutes", "n", math.Round(*v/6)/10, "seconds", *v)
	}
	return s.T.Text("value."+unitOf(s.Criterion.Goal.Measure), "n", *v)
}
