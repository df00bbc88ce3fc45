package app

import (
	"context"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
)

// twinsOf returns the sessions of an assignment that two people recorded,
// newest first; only those of one recording unless its id is zero.
func twinsOf(ctx context.Context, tx *postgres.Tx, assignment newel.AssignmentID, only newel.RecordingID) ([]reading.Twin, error) {
	pairs, err := tx.Twins(ctx, assignment)
	if err != nil {
		return nil, err
	}
	var twins []reading.Twin
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

func twinOf(ctx context.Context, tx *postgres.Tx, pair postgres.Twins) (t reading.Twin, err error) {
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
	first, second := reading.SentAnswers(t.First), reading.SentAnswers(t.Second)
	t.Tries = make([]reading.TwinTry, max(len(first), len(second)))
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
