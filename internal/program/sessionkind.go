package program

import "newel/internal/criterion"

// SessionTally counts a placement's sessions, as far as they decide which kind
// the next one is. Void sessions do not count, nor do those that the child's no
// ended.
type SessionTally struct {
	Baselines  int // baseline sessions
	SinceProbe int // teaching sessions since the latest probe, or since the start
}

// kindsAhead is how many sessions a phone without a connection can plan ahead.
const kindsAhead = 12

// KindsAhead returns the kinds of the next sessions on a step, in order: first
// the baseline, then every ProbeEvery-th a probe, otherwise teaching. After the
// last one listed, every session is of that kind. What was left out stays due:
// a step that was taught instead of probed is probed next. planned is the kind
// that a supervisor planned for the next session, or empty.
func (s *Step) KindsAhead(t SessionTally, planned criterion.Kind) []criterion.Kind {
	var kinds []criterion.Kind
	for n := 0; n < kindsAhead; n++ {
		kind := s.nextKind(t)
		if n == 0 && planned != "" {
			kind = planned
		}
		kinds = append(kinds, kind)
		switch kind {
		case criterion.Baseline:
			t.Baselines++
		case criterion.Probe:
			t.SinceProbe = 0
		case criterion.Teaching:
			t.SinceProbe++
			if s.ProbeEvery <= 0 {
				return kinds
			}
		}
	}
	return kinds
}

func (s *Step) nextKind(t SessionTally) criterion.Kind {
	switch {
	case t.Baselines < s.Baseline:
		return criterion.Baseline
	case s.ProbeEvery > 0 && t.SinceProbe >= s.ProbeEvery-1:
		return criterion.Probe
	}
	return criterion.Teaching
}
