package reading

import (
	"slices"
	"strings"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/recording"
)

// graphSessions is the number of sessions in a small graph.
const graphSessions = 10

// maxDuplicates limits the reported pairs of sessions at the same time.
const maxDuplicates = 5

// gistOf returns the part of a reading that lists need.
func gistOf(r criterion.Reading, sessions []criterion.Session) *newel.Gist {
	g := &newel.Gist{
		Status: r.Status, Flags: r.Flags, Sessions: len(r.Sessions), Twice: overlappingSessions(sessions), Evaluator: criterion.EvaluatorVersion,
	}
	for _, s := range r.Sessions {
		if s.Counted {
			g.Counted++
		}
	}
	for _, s := range sessions {
		if day := dayIn(s.LocalDate); !s.Void && g.Last.Before(day) {
			g.Last = day
		}
	}
	return g
}

func dayIn(d criterion.Date) newel.Day {
	if d == (criterion.Date{}) {
		return newel.Day{}
	}
	return newel.NewDay(d.Year, d.Month, d.Day)
}

// overlappingSessions returns pairs of sessions that overlap in time.
func overlappingSessions(sessions []criterion.Session) [][2]string {
	list := slices.DeleteFunc(slices.Clone(sessions), func(s criterion.Session) bool { return s.Void })
	slices.SortFunc(list, inOrder)
	var pairs [][2]string
	for i, a := range list {
		for _, b := range list[:i] {
			if a.StartedAt.Before(b.EndedAt) && b.StartedAt.Before(a.EndedAt) && len(pairs) < maxDuplicates {
				pairs = append(pairs, [2]string{b.ID, a.ID})
			}
		}
	}
	return pairs
}

// inOrder compares sessions by the order in which they count.
func inOrder(a, b criterion.Session) int {
	if c := a.EndedAt.Compare(b.EndedAt); c != 0 {
		return c
	}
	return strings.Compare(a.ID, b.ID)
}

// latestOf returns the newest of the kept sessions, oldest first.
func latestOf(sessions []newel.KeptSession) []newel.KeptSession {
	list := slices.Clone(sessions)
	slices.SortFunc(list, func(a, b newel.KeptSession) int { return inOrder(a.Session, b.Session) })
	return list[max(0, len(list)-graphSessions):]
}

// WithLate adds a recording that has just arrived, if its session was before
// the latest decision.
func WithLate(d *LatestDecision, r recording.Kept) *LatestDecision {
	if d == nil || r.Session == nil || r.ClosedAt == nil || !r.StartedAt.Before(d.At) || !r.ClosedAt.After(d.At) ||
		slices.ContainsFunc(d.Late, func(l LateSession) bool { return l.ID == r.ID }) {
		return d
	}
	with := *d
	with.Late = append(slices.Clone(d.Late), LateSession{ID: r.ID, At: *r.ClosedAt})
	return &with
}

// lateOf returns the sessions held before the latest decision that arrived
// after it, and whether they would have changed the reading that was decided
// on. It returns nil if there are none.
func (evaluate Evaluator) lateOf(g Facts, c criterion.Case) *newel.Late {
	if g.Decided == nil || len(g.Decided.Late) == 0 {
		return nil
	}
	l := &newel.Late{Decision: g.Decided.ID, Kind: g.Decided.Kind, Step: g.Step.Key}
	for _, s := range g.Decided.Late {
		l.Sessions = append(l.Sessions, s.ID)
		if s.At.After(l.At) {
			l.At = s.At
		}
	}
	was := DecodeReading(g.Decided.Reading)
	c.AsOf = g.Decided.At
	again, err := evaluate.Judge(g, c)
	if err != nil || was.Status == "" { // nothing to compare with
		return l
	}
	if g.Decided.Evaluator < criterion.EvaluatorVersion {
		// Rules that have changed since are no late data: compare both under
		// today's.
		if was, err = evaluate.Judge(g, without(c, l.Sessions)); err != nil {
			return l
		}
	}
	l.Was, l.Now = was.Status, again.Status
	l.Changes = was.Status != again.Status || !slices.Equal(reasons(was), reasons(again))
	return l
}

// without returns the case without some of its sessions.
func without(c criterion.Case, left []newel.RecordingID) criterion.Case {
	c.Sessions = slices.DeleteFunc(slices.Clone(c.Sessions), func(s criterion.Session) bool {
		return slices.ContainsFunc(left, func(id newel.RecordingID) bool { return id.String() == s.ID })
	})
	return c
}

// reasons lists the flags of a reading except idle, which depends on the
// current time, and the program's prompt rules, which depend on the current
// prompt.
func reasons(r criterion.Reading) []criterion.FlagKind {
	var kinds []criterion.FlagKind
	for _, f := range r.Flags {
		if f.Kind != criterion.Idle && f.Kind != FlagLessHelp && f.Kind != FlagMoreHelp {
			kinds = append(kinds, f.Kind)
		}
	}
	return kinds
}
