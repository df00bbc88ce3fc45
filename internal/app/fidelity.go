package app

import (
	"context"
	"slices"
	"strconv"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
)

// FidelityInput is a fidelity check.
type FidelityInput struct {
	Person   string
	TaughtOn string
	Watched  string
	Note     string
	Seen     func(n int) string // choice for the nth point of the version's checklist, from 0; empty for none
}

// FidelityForm returns a placement and the people of its family, any of whom
// may have taught.
func (a *App) FidelityForm(ctx context.Context, actor newel.Actor, id newel.PlacementID) (p reading.Progress, people []newel.Person, err error) {
	err = a.upToDate(ctx, actor.Clinic, func() ([]newel.PlacementID, error) {
		err := a.act(ctx, actor, newel.Decide, func(tx *postgres.Tx) error {
			if p, err = progressOf(ctx, tx, id); err != nil {
				return err
			}
			people, err = tx.People(ctx, p.Family.ID)
			return err
		})
		return p.Outdated, err
	})
	return p, people, err
}

// RecordFidelity records a fidelity check by the actor and returns the location
// of the placement's page. Problems with points are under "seen" plus the
// point's number, from 0. It returns ErrNotFound if the version has no
// checklist.
func (a *App) RecordFidelity(ctx context.Context, actor newel.Actor, form Form, id newel.PlacementID, in FidelityInput) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		p, err := tx.Placement(ctx, id)
		if err != nil {
			return "", err
		}
		version, err := tx.VersionOf(ctx, id)
		if err != nil {
			return "", err
		}
		if len(version.Document.Checklist) == 0 {
			return "", newel.ErrNotFound
		}
		family, err := tx.Family(ctx, p.FamilyID)
		if err != nil {
			return "", err
		}
		people, err := tx.People(ctx, p.FamilyID)
		if err != nil {
			return "", err
		}
		f, err := in.clean(people, version.Document.Checklist, today(tx.Now(), family))
		if err != nil {
			return "", err
		}
		f.ID, f.FamilyID, f.PlacementID = newel.NewID[newel.FidelityID](), p.FamilyID, id
		if err := tx.AddFidelity(ctx, f); err != nil {
			return "", err
		}
		return href.FidelityList(id), tx.Note(ctx, "fidelity.noted", f.FamilyID, f.ID.UUID)
	})
}

func (in FidelityInput) clean(people []newel.Person, list []string, today newel.Day) (newel.Fidelity, error) {
	var e newel.Invalid
	f := newel.Fidelity{Watched: newel.Watched(in.Watched), Note: e.Text("note", in.Note, newel.MaxNote, false)}
	at := slices.IndexFunc(people, func(p newel.Person) bool { return p.ID.String() == in.Person })
	if at < 0 {
		e.Add("person", "fidelity.choose_person")
	} else {
		f.PersonID = people[at].ID
	}
	f.TaughtOn = pastDay(&e, "taught_on", in.TaughtOn, today)
	if !slices.Contains(newel.WatchedKinds, f.Watched) {
		e.Add("watched", "fidelity.choose_watched")
	}
	for n, text := range list {
		point := newel.FidelityPoint{Text: text, Seen: newel.Seen(in.Seen(n))}
		if !slices.Contains(newel.SeenKinds, point.Seen) {
			e.Add("seen"+strconv.Itoa(n), "fidelity.choose_seen")
		}
		f.Points = append(f.Points, point)
	}
	if _, of := f.Points.Share(); of == 0 && len(e.Problems) == 0 {
		e.Add("seen0", "fidelity.nothing_seen")
	}
	return f, e.OrNil()
}

// WithdrawFidelity withdraws a fidelity check made by mistake. It returns
// ErrNotFound if it was withdrawn before.
func (a *App) WithdrawFidelity(ctx context.Context, actor newel.Actor, form Form, placement newel.PlacementID, id newel.FidelityID) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		family, err := tx.WithdrawFidelity(ctx, placement, id)
		if err != nil {
			return "", err
		}
		return href.FidelityList(placement), tx.Note(ctx, "fidelity.withdrawn", family, id.UUID)
	})
}
