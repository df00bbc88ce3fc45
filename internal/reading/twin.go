package reading

import (
	"slices"
	"time"

	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/recording"
)

// Twin is one session that two people recorded, compared.
//
// It compares what the phones sent. Corrections are left out, because a person
// who corrects may know the other record.
type Twin struct {
	First, Second     recording.Kept
	FirstBy, SecondBy string // names; empty if the scope may not see them
	// FirstLater and SecondLater report a record that was written afterwards.
	// Such a record is not an observation, so nothing is compared.
	FirstLater, SecondLater bool
	Tries                   []TwinTry
	// Matching is what tries are paired by: time, or order if a phone's clock
	// cannot be relied on. Never number: a missed tap would shift all others.
	Matching  measure.Matching
	Agreement measure.TrialAgreement
}

// TwinTry is one trial as two people recorded it. One is nil if only the other
// person recorded the trial.
type TwinTry struct{ First, Second *SentTry }

// SentTry is one trial as a phone sent it.
type SentTry struct {
	Answer recording.Answer
	At     time.Time // by the server's clock; zero if unknown
}

// Same reports whether both answers have the same outcome and help.
func (t TwinTry) Same() bool {
	return t.First != nil && t.Second != nil && answerCode(t.First.Answer) == answerCode(t.Second.Answer)
}

func answerCode(a recording.Answer) string { return string(a.Outcome) + " " + a.Help }

// FromMemory reports whether at least one record was written afterwards.
func (t Twin) FromMemory() bool { return t.FirstLater || t.SecondLater }

// SameTries returns how many trials both recorded alike.
func (t Twin) SameTries() int {
	n := 0
	for _, try := range t.Tries {
		if try.Same() {
			n++
		}
	}
	return n
}

// TwinOf compares two recordings of one session.
func TwinOf(first, second recording.Kept) Twin {
	t := Twin{First: first, Second: second, FirstLater: first.Afterwards, SecondLater: second.Afterwards}
	if t.FromMemory() {
		t.Agreement = measure.TrialAgreement{Unmatched: measure.FromMemory()}
		return t
	}
	one, two := sentTries(first), sentTries(second)
	a, b := observed(one, first.StartedAt), observed(two, first.StartedAt)
	t.Matching, t.Agreement = measure.MatchingOf(a, b), measure.AgreeOnTrials(a, b)
	for _, p := range t.Agreement.Pairs {
		var try TwinTry
		if p.First >= 0 {
			try.First = &one[p.First]
		}
		if p.Second >= 0 {
			try.Second = &two[p.Second]
		}
		t.Tries = append(t.Tries, try)
	}
	return t
}

// observed returns the trials as observations, with times since a moment.
//
// They have no targets: a phone takes the target of each trial from an order of
// its own, so a target says what that phone had planned and not what the
// observer saw.
func observed(tries []SentTry, since time.Time) []measure.Observed {
	list := make([]measure.Observed, len(tries))
	for i, try := range tries {
		list[i].Code = answerCode(try.Answer)
		if !try.At.IsZero() {
			s := exact.Frac(try.At.Sub(since).Milliseconds(), 1000)
			list[i].AtS = &s
		}
	}
	return list
}

// maxClockGap is how far a phone's clocks may differ about the length of a
// session whose trials are paired by time: half of how far the times of a pair
// may be apart.
const maxClockGap = measure.MaxApartS * time.Second / 2

// sentTries returns a recording's trials as the phone sent them, without those
// undone on the phone.
func sentTries(r recording.Kept) []SentTry {
	view := recording.Apply(r.State, nil)
	steady := view.Closing != nil && !r.OddClock && view.ClockGap() <= maxClockGap
	var tries []SentTry
	for _, trial := range view.Trials {
		if trial.Void || trial.Answer == nil {
			continue
		}
		try := SentTry{Answer: *trial.Answer}
		if tap, ok := r.State.FirstTap(trial.N); ok && steady {
			try.At = r.EndedAt.Add(time.Duration(tap-view.Closing.EndMS) * time.Millisecond)
		}
		tries = append(tries, try)
	}
	return tries
}

// Coverage is how many of a placement's sessions had a second observer.
type Coverage struct{ Observed, Of int }

// CoverageOf counts the sessions that count and, of those, the ones that two
// people recorded while they happened. Recordings of one session count once.
// A record written afterwards does not make its author an observer.
func CoverageOf(sessions []newel.SessionRow) (c Coverage) {
	var counted []newel.SessionRow
	for _, s := range sessions {
		if s.Void || slices.ContainsFunc(counted, func(o newel.SessionRow) bool { return sameSession(s, o) }) {
			continue
		}
		counted = append(counted, s)
		c.Of++
		if observedTwice(s, sessions) {
			c.Observed++
		}
	}
	return c
}

// sameSession reports whether two accounts recorded one session.
func sameSession(a, b newel.SessionRow) bool {
	return a.AuthorID != b.AuthorID && a.StartedAt.Before(b.EndedAt) && b.StartedAt.Before(a.EndedAt)
}

// observedTwice reports whether two live recordings of a session exist. Either
// may be excluded, so that the session counts once.
func observedTwice(s newel.SessionRow, sessions []newel.SessionRow) bool {
	var live []newel.SessionRow
	for _, o := range append([]newel.SessionRow{s}, sessions...) {
		if !o.Afterwards && (o.ID == s.ID || sameSession(s, o)) {
			live = append(live, o)
		}
	}
	return slices.ContainsFunc(live, func(o newel.SessionRow) bool { return o.AuthorID != live[0].AuthorID })
}
