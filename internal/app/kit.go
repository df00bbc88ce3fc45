package app

import (
	"context"
	"fmt"

	"newel/internal/newel"
	"newel/internal/postgres"
)

// Kit gives everything a phone needs to teach and record a placement. A
// placement that has closed is ErrGone: there is a newer one.
func (a *App) Kit(ctx context.Context, actor newel.Actor, placement newel.PlacementID) (kit newel.Kit, err error) {
	err = a.act(ctx, actor, newel.RecordSession, func(tx *postgres.Tx) error {
		kit, err = kitOf(ctx, tx, placement)
		return err
	})
	return kit, err
}

func kitOf(ctx context.Context, tx *postgres.Tx, id newel.PlacementID) (newel.Kit, error) {
	p, err := tx.Placement(ctx, id)
	if err != nil {
		return newel.Kit{}, err
	}
	if p.EndedAt != nil {
		return newel.Kit{}, fmt.Errorf("placement %s has closed: %w", id, newel.ErrGone)
	}
	s, err := tx.Assignment(ctx, p.AssignmentID)
	if err != nil {
		return newel.Kit{}, err
	}
	l, err := tx.Learner(ctx, s.LearnerID)
	if err != nil {
		return newel.Kit{}, err
	}
	v, err := tx.VersionOf(ctx, id)
	if err != nil {
		return newel.Kit{}, err
	}
	people, err := tx.People(ctx, p.FamilyID)
	if err != nil {
		return newel.Kit{}, err
	}
	kit, err := newel.MakeKit(p, s, l, &v.Document)
	for _, person := range people {
		kit.People = append(kit.People, newel.KitPerson{ID: person.ID, Name: person.Name})
		if person.Account != nil && *person.Account == tx.Scope().Account {
			self := person.ID
			kit.Self = &self
		}
	}
	return kit, err
}
