package writing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"newel/internal/criterion"
)

// Rules are the evaluation rules of a step in a draft.
type Rules struct {
	Criterion string
	StepBack  string
	Flags     criterion.Rules
}

// lastedFor is how long after a criterion is met to check whether the skill
// lasted: maintenance is usually checked after about a month.
const lastedFor = 28 * 24 * time.Hour

// RuleOutcome is the outcome of one placement under some rules.
type RuleOutcome struct {
	// MetAt is the session at which the criterion was met, counted from 1
	// without baseline, maintenance and void ones; 0 if it was not met.
	MetAt int
	// Alarms are the flags that were raised, judged session by session, in the
	// order in which they were first raised.
	Alarms []Alarm
	// Checked reports whether there is a session with data, of any kind, four
	// weeks or more after it was met; Dropped, whether the first such session
	// no longer met the goal.
	Checked, Dropped bool
}

// Alarm is a flag that was raised on a placement.
type Alarm struct {
	Kind  criterion.FlagKind
	Times int    // how often it was newly raised
	First string // id of the session that first raised it
	At    int    // its number, counted as MetAt is; 0 for a baseline or maintenance session
}

// Replayed is one placement under its original rules and under those of the
// draft.
type Replayed struct{ Was, Now RuleOutcome }

// Past is a past placement with its original rules.
type Past struct {
	criterion.Case
	// Evaluate returns the reading of the case, or of the same case with other
	// rules or fewer sessions.
	Evaluate func(criterion.Case) (criterion.Reading, error)
}

// Replay evaluates past placements again under a draft's rules. The result is what the evaluator would have said, not how
// the child would have progressed: meeting the criterion earlier would have led
// to different sessions. An error it returns is a *criterion.InputError with
// the number of the placement in its text.
func Replay(draft Rules, past []Past) ([]Replayed, error) {
	out := make([]Replayed, len(past))
	for i, stay := range past {
		was, err := outcomeOf(stay)
		if err != nil {
			return nil, fmt.Errorf("placement %d: %w", i+1, err)
		}
		stay.Criterion, stay.StepBack, stay.Rules = draft.Criterion, draft.StepBack, draft.Flags
		now, err := outcomeOf(stay)
		if err != nil {
			return nil, fmt.Errorf("placement %d under the draft: %w", i+1, err)
		}
		out[i] = Replayed{was, now}
	}
	return out, nil
}

// outcomeOf evaluates a placement after each session, using only what was known
// at the time.
func outcomeOf(c Past) (RuleOutcome, error) {
	var out RuleOutcome
	whole, err := c.Evaluate(c.Case)
	if err != nil {
		return out, err
	}
	if whole.MetBy != nil {
		out.MetAt = number(whole, *whole.MetBy)
		if out.Checked, out.Dropped, err = checkMaintained(c.Case, *whole.MetBy); err != nil {
			return out, err
		}
	}
	sessions := slices.Clone(c.Sessions)
	slices.SortStableFunc(sessions, func(a, b criterion.Session) int { return a.EndedAt.Compare(b.EndedAt) })
	before := map[criterion.FlagKind]bool{}
	for i, s := range sessions {
		if s.EndedAt.After(c.AsOf) {
			break
		}
		then := c.Case
		then.Sessions, then.AsOf = sessions[:i+1], s.EndedAt
		reading, err := c.Evaluate(then)
		if err != nil {
			return out, err
		}
		now := map[criterion.FlagKind]bool{}
		for _, f := range reading.Flags {
			now[f.Kind] = true
			if !before[f.Kind] {
				out.raise(f.Kind, reading, s.ID)
			}
		}
		before = now
	}
	return out, nil
}

// raise notes that the session newly raised the flag.
func (c *RuleOutcome) raise(kind criterion.FlagKind, reading criterion.Reading, session string) {
	at := slices.IndexFunc(c.Alarms, func(a Alarm) bool { return a.Kind == kind })
	if at < 0 {
		at = len(c.Alarms)
		c.Alarms = append(c.Alarms, Alarm{Kind: kind, First: session, At: number(reading, session)})
	}
	c.Alarms[at].Times++
}

func number(r criterion.Reading, id string) int {
	n := 0
	for _, s := range r.Sessions {
		switch s.Why {
		case criterion.WhyVoid, criterion.WhyFuture, criterion.WhyBaseline, criterion.WhyMaintenance:
			continue
		}
		n++
		if s.ID == id {
			return n
		}
	}
	return 0
}

// checkMaintained checks the first informative session at least four weeks
// after the one at which the criterion was met.
func checkMaintained(c criterion.Case, metBy string) (checked, dropped bool, err error) {
	goal, err := goalOf(c)
	if err != nil {
		return false, false, err
	}
	met := c.Sessions[slices.IndexFunc(c.Sessions, func(s criterion.Session) bool { return s.ID == metBy })].EndedAt
	var later []criterion.Session
	for _, s := range c.Sessions {
		if !s.Void && s.Kind != criterion.Baseline && !s.EndedAt.After(c.AsOf) && s.EndedAt.Sub(met) >= lastedFor {
			later = append(later, s)
		}
	}
	slices.SortFunc(later, func(a, b criterion.Session) int {
		if order := a.EndedAt.Compare(b.EndedAt); order != 0 {
			return order
		}
		return strings.Compare(a.ID, b.ID)
	})
	for _, s := range later {
		s.Kind = criterion.Teaching
		alone := c
		alone.Criterion, alone.StepBack, alone.Rules, alone.Sessions = goal, "", criterion.Rules{}, []criterion.Session{s}
		reading, err := criterion.Evaluate(alone)
		if err != nil {
			return false, false, err
		}
		// A refusal does not show whether the skill is still there.
		if one := reading.Sessions[0]; one.Counted && one.Barred == criterion.NotBarred {
			return true, !one.Qualifies, nil
		}
	}
	return false, false, nil
}

// goalOf returns the case's goal for a single session.
func goalOf(c criterion.Case) (string, error) {
	full, err := criterion.Parse(c.Criterion, criterion.Vocabulary{HelpLevels: c.HelpLevels, Targets: c.Targets})
	if err != nil {
		return "", &criterion.InputError{Path: "criterion", Err: err}
	}
	goal := criterion.Criterion{Goal: full.Goal, Window: criterion.Window{Need: 1}, EachTarget: full.EachTarget, Second: full.Second}
	return goal.String(), nil
}

// Difference summarizes what a draft would have changed.
type Difference struct {
	Stays              int
	MetWas, MetNow     int
	Earlier, Later     int // met under both, in different sessions
	AlarmsWas          int // all but those about maintenance
	AlarmsNow          int
	Kinds              []KindDifference // the same by kind, in the evaluator's order
	CheckedWas         int
	DroppedWas         int // of those checked
	CheckedNow         int
	DroppedNow         int
	OnlyWas, OnlyDraft int // met under only one of them
}

// KindDifference is how often one kind of flag was raised under each of the
// rules.
type KindDifference struct {
	Kind     criterion.FlagKind
	Was, Now int
}

// Sum totals replayed placements.
func Sum(stays []Replayed) Difference {
	d := Difference{Stays: len(stays)}
	for _, s := range stays {
		d.MetWas += one(s.Was.MetAt > 0)
		d.MetNow += one(s.Now.MetAt > 0)
		both := s.Was.MetAt > 0 && s.Now.MetAt > 0
		d.Earlier += one(both && s.Now.MetAt < s.Was.MetAt)
		d.Later += one(both && s.Now.MetAt > s.Was.MetAt)
		d.OnlyWas += one(s.Was.MetAt > 0 && s.Now.MetAt == 0)
		d.OnlyDraft += one(s.Was.MetAt == 0 && s.Now.MetAt > 0)
		d.AlarmsWas += s.Was.alarms()
		d.AlarmsNow += s.Now.alarms()
		d.CheckedWas += one(s.Was.Checked)
		d.DroppedWas += one(s.Was.Dropped)
		d.CheckedNow += one(s.Now.Checked)
		d.DroppedNow += one(s.Now.Dropped)
	}
	d.Kinds = kindsOf(stays)
	return d
}

// kindsOf counts the flags by kind. Those of a program's own rules come after
// the evaluator's, by name.
func kindsOf(stays []Replayed) []KindDifference {
	counts := map[criterion.FlagKind]*KindDifference{}
	count := func(alarms []Alarm, add func(*KindDifference, int)) {
		for _, a := range alarms {
			if a.aboutMaintenance() {
				continue
			}
			if counts[a.Kind] == nil {
				counts[a.Kind] = &KindDifference{Kind: a.Kind}
			}
			add(counts[a.Kind], a.Times)
		}
	}
	for _, s := range stays {
		count(s.Was.Alarms, func(k *KindDifference, n int) { k.Was += n })
		count(s.Now.Alarms, func(k *KindDifference, n int) { k.Now += n })
	}
	var out []KindDifference
	for _, k := range counts {
		out = append(out, *k)
	}
	place := func(k criterion.FlagKind) int {
		if at := slices.Index(criterion.FlagKinds, k); at >= 0 {
			return at
		}
		return len(criterion.FlagKinds)
	}
	slices.SortFunc(out, func(a, b KindDifference) int {
		return cmp.Or(cmp.Compare(place(a.Kind), place(b.Kind)), cmp.Compare(a.Kind, b.Kind))
	})
	return out
}

func (a Alarm) aboutMaintenance() bool {
	return a.Kind == criterion.CheckAgain || a.Kind == criterion.Slipping
}

func (c RuleOutcome) alarms() int {
	n := 0
	for _, a := range c.Alarms {
		if !a.aboutMaintenance() {
			n += a.Times
		}
	}
	return n
}

func one(is bool) int {
	if is {
		return 1
	}
	return 0
}
