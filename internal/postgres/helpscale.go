package postgres

import (
	"context"

	"newel/internal/newel"
	"newel/internal/program"
)

const helpScaleColumns = `select h.id, h.name, h.levels, h.created_at, h.archived_at from help_scale h where $staff(h)`

// HelpScales lists the clinic's prompt hierarchies by name, including archived
// ones.
func (tx *Tx) HelpScales(ctx context.Context) (_ []program.HelpScale, err error) {
	defer wrap(&err, "help scales")
	return many[program.HelpScale](ctx, tx, helpScaleColumns+` order by lower(h.name), h.id`, nil)
}

// HelpScale returns one prompt hierarchy.
func (tx *Tx) HelpScale(ctx context.Context, id newel.HelpScaleID) (_ program.HelpScale, err error) {
	defer wrap(&err, "help scale %s", id)
	return one[program.HelpScale](ctx, tx, helpScaleColumns+` and h.id = @id`, args{"id": id})
}

// AddHelpScale adds a prompt hierarchy to the clinic.
func (tx *Tx) AddHelpScale(ctx context.Context, s program.HelpScale) (err error) {
	defer wrap(&err, "add help scale %s", s.ID)
	if err := tx.staff(); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into help_scale (clinic_id, id, name, levels, created_by, created_at)
		values (@scope_clinic, @id, @name, @levels, @scope_account, @now)`, args{"id": s.ID, "name": s.Name, "levels": s.Levels})
}

// ChangeHelpScale stores a new name and new levels. Programs that were started
// with the hierarchy keep their levels.
func (tx *Tx) ChangeHelpScale(ctx context.Context, s program.HelpScale) (err error) {
	defer wrap(&err, "change help scale %s", s.ID)
	return tx.exec(ctx, `update help_scale h set name = @name, levels = @levels where $staff(h) and id = @id`,
		args{"id": s.ID, "name": s.Name, "levels": s.Levels})
}

// ArchiveHelpScale archives a prompt hierarchy or restores it.
func (tx *Tx) ArchiveHelpScale(ctx context.Context, id newel.HelpScaleID, archived bool) (err error) {
	defer wrap(&err, "archive help scale %s", id)
	return tx.exec(ctx, `update help_scale h set archived_at = case when @archived then @now::timestamptz end where $staff(h) and id = @id`,
		args{"id": id, "archived": archived})
}
