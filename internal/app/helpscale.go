package app

import (
	"context"
	"strings"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
)

// HelpScales returns the clinic's prompt hierarchies by name, including
// archived ones.
func (a *App) HelpScales(ctx context.Context, actor newel.Actor) (list []program.HelpScale, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		list, err = tx.HelpScales(ctx)
		return err
	})
	return list, err
}

// HelpScale returns one prompt hierarchy.
func (a *App) HelpScale(ctx context.Context, actor newel.Actor, id newel.HelpScaleID) (s program.HelpScale, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		s, err = tx.HelpScale(ctx, id)
		return err
	})
	return s, err
}

// HelpScaleInput is the form for a prompt hierarchy. Levels has one level per
// line, from least to most help.
type HelpScaleInput struct{ Name, Levels string }

// scale validates the form against the other active hierarchies.
func (in HelpScaleInput) scale(ctx context.Context, tx *postgres.Tx, id newel.HelpScaleID) (program.HelpScale, error) {
	var e newel.Invalid
	s := program.HelpScale{ID: id, Name: e.Line("name", in.Name, newel.MaxName, true), Levels: program.ReadHelpLevels("levels", in.Levels, &e)}
	others, err := tx.HelpScales(ctx)
	if err != nil {
		return s, err
	}
	for _, o := range others {
		if o.ID != id && o.ArchivedAt == nil && strings.EqualFold(o.Name, s.Name) {
			e.Add("name", "helpscale.name_taken", "name", o.Name)
		}
	}
	return s, e.OrNil()
}

// AddHelpScale adds a prompt hierarchy and returns the location of the list.
func (a *App) AddHelpScale(ctx context.Context, actor newel.Actor, form Form, in HelpScaleInput) (string, error) {
	return a.saveHelpScale(ctx, actor, form, newel.NewID[newel.HelpScaleID](), in, (*postgres.Tx).AddHelpScale, "authoring.help_scale_added")
}

// ChangeHelpScale changes a hierarchy's name or levels. Programs that were
// started with it keep their levels.
func (a *App) ChangeHelpScale(ctx context.Context, actor newel.Actor, form Form, id newel.HelpScaleID, in HelpScaleInput) (string, error) {
	return a.saveHelpScale(ctx, actor, form, id, in, (*postgres.Tx).ChangeHelpScale, "authoring.help_scale_changed")
}

func (a *App) saveHelpScale(ctx context.Context, actor newel.Actor, form Form, id newel.HelpScaleID, in HelpScaleInput,
	keep func(*postgres.Tx, context.Context, program.HelpScale) error, entry string,
) (string, error) {
	return a.once(ctx, actor, newel.PublishProgram, form, func(tx *postgres.Tx) (string, error) {
		s, err := in.scale(ctx, tx, id)
		if err != nil {
			return "", err
		}
		if err := keep(tx, ctx, s); err != nil {
			return "", err
		}
		return href.HelpScales, tx.Note(ctx, entry, newel.FamilyID{}, id.UUID)
	})
}

// ArchiveHelpScale archives a prompt hierarchy or restores it.
func (a *App) ArchiveHelpScale(ctx context.Context, actor newel.Actor, form Form, id newel.HelpScaleID, archived bool) (string, error) {
	return a.once(ctx, actor, newel.PublishProgram, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.ArchiveHelpScale(ctx, id, archived); err != nil {
			return "", err
		}
		return href.HelpScales, tx.Note(ctx, "authoring.help_scale_archived", newel.FamilyID{}, id.UUID)
	})
}
