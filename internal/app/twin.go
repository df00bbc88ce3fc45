package app

import (
	"context"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
)

// pageTwins limits a page to the newest sessions that two people recorded.
const pageTwins = 20

// twinsOf returns the sessions of a placement that two people recorded, newest
// first; only those of one recording unless its id is zero.
func twinsOf(ctx context.Context, tx *postgres.Tx, placement newel.PlacementID, only newel.RecordingID) ([]reading.Twin, error) {
	pairs, err := tx.Twins(ctx, placement, only, pageTwins)
	if err != nil {
		return nil, err
	}
	var twins []reading.Twin
	for _, pair := range pairs {
		t, err := twinOf(ctx, tx, pair)
		if err != nil {
			return nil, err
		}
		twins = append(twins, t)
	}
	return twins, nil
}

func twinOf(ctx context.Context, tx *postgres.Tx, pair postgres.Twins) (reading.Twin, error) {
	first, err := tx.Recording(ctx, pair.First)
	if err != nil {
		return reading.Twin{}, err
	}
	second, err := tx.Recording(ctx, pair.Second)
	if err != nil {
		return reading.Twin{}, err
	}
	names, err := tx.AccountNames(ctx, []newel.AccountID{first.AuthorID, second.AuthorID})
	if err != nil {
		return reading.Twin{}, err
	}
	t := reading.TwinOf(first, second)
	t.FirstBy, t.SecondBy = names[first.AuthorID], names[second.AuthorID]
	return t, nil
}
