package app

import (
	"context"
	"fmt"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
)

// Kit gives everything a phone needs to teach and record a placement. A
// placement that has closed is ErrGone: there is a newer one.
func (a *App) Kit(ctx context.Context, actor newel.Actor, placement newel.PlacementID) (kit program.Kit, err error) {
	err = a.act(ctx, actor, newel.RecordSession, func(tx *postgres.Tx) error {
		now, err := tx.TaughtAt(ctx, placement)
		if err != nil {
			return err
		}
		if !now.Open() {
			return fmt.Errorf("placement %s has closed: %w", placement, newel.ErrGone)
		}
		people, err := tx.People(ctx, now.FamilyID)
		kit = kitOf(now, people, actor.Account)
		return err
	})
	return kit, err
}

// kitOf makes the kit of a placement for the phone of one account.
func kitOf(t postgres.Taught, people []newel.Person, self newel.AccountID) program.Kit {
	p := newel.Placement{ID: t.PlacementID, VersionID: t.VersionID, StepKey: t.StepKey, PlannedHelp: t.PlannedHelp}
	kit := program.MakeKit(p, t.Overrides, t.Learner(), &t.Document, program.KitFor{Language: t.Language, Met: t.Met})
	for _, person := range people {
		kit.People = append(kit.People, program.KitPerson{ID: person.ID, Name: person.Name})
		if person.Account != nil && *person.Account == self {
			id := person.ID
			kit.Self = &id
		}
	}
	return kit
}
