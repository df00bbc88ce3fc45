package app

import (
	"context"

	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/recording"
)

// Twin is one session that two people recorded at the same time.
type Twin struct {
	First, Second     postgres.Recording
	FirstBy, SecondBy string // names; empty where the scope may not see them
	// Tries are what each wrote down, in order, as the phones sent it: no
	// correction, for whoever corrects has heard of the other.
	Tries []TwinTry
}

// TwinTry is one try as two people saw it. nil: only the other wrote it down.
type TwinTry struct{ First, Second *recording.Answer }

// Same reports whether both say the same of the try: how it ended, and by which
// help.
func (t TwinTry) Same() bool {
	return t.First != nil && t.Second != nil && answerCode(t.First) == answerCode(t.Second)
}

func answerCode(a *recording.Answer) string {
	if a == nil {
		return ""
	}
	return string(a.Outcome) + " " + a.Help
}

// Agreement compares both try by try (interobserver agreement, common
// practice); a try that only one wrote down counts as not the same. same of the
// tries are; percent is nil if neither wrote any down.
func (t Twin) Agreement() (same int, percent *float64) {
	var codes [2][]string
	for _, try := range t.Tries {
		codes[0], codes[1] = append(codes[0], answerCode(try.First)), append(codes[1], answerCode(try.Second))
		if try.Same() {
			same++
		}
	}
	return same, measure.AgreeOnTrials(codes[0], codes[1]).Trial
}

// twinsOf gives the sessions of an assignment that two people recorded, newest
// first; of those, only that of one recording if it is not the zero id.
func twinsOf(ctx context.Context, tx *postgres.Tx, assignment newel.AssignmentID, only newel.RecordingID) ([]Twin, error) {
	pairs, err := tx.Twins(ctx, assignment)
	if err != nil {
		return nil, err
	}
	var twins []Twin
	for _, pair := range pairs {
		if !only.IsZero() && pair.First != only && pair.Second != only {
			continue
		}
		t, err := twinOf(ctx, tx, pair)
		if err != nil {
			return nil, err
		}
		twins = append(twins, t)
	}
	return twins, nil
}

func twinOf(ctx context.Context, tx *postgres.Tx, pair postgres.Twins) (t Twin, err error) {
	if t.First, err = tx.Recording(ctx, pair.First); err != nil {
		return t, err
	}
	if t.Second, err = tx.Recording(ctx, pair.Second); err != nil {
		return t, err
	}
	names, err := tx.AccountNames(ctx, []newel.AccountID{t.First.AuthorID, t.Second.AuthorID})
	if err != nil {
		return t, err
	}
	t.FirstBy, t.SecondBy = names[t.First.AuthorID], names[t.Second.AuthorID]
	first, second := sentAnswers(t.First), sentAnswers(t.Second)
	t.Tries = make([]TwinTry, max(len(first), len(second)))
	for n := range t.Tries {
		if n < len(first) {
			t.Tries[n].First = first[n]
		}
		if n < len(second) {
			t.Tries[n].Second = second[n]
		}
	}
	return t, nil
}

// sentAnswers are a recording's answers as the phone sent them, without what
// was undone there.
func sentAnswers(r postgres.Recording) []*recording.Answer {
	var answers []*recording.Answer
	for _, trial := range recording.Apply(r.State, nil).Trials {
		if !trial.Void && trial.Answer != nil {
			answers = append(answers, trial.Answer)
		}
	}
	return answers
}
