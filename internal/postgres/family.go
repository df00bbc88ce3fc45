package postgres

import (
	"context"

	"newel/internal/newel"
)

// AddFamily adds a family. The scope must already cover its id, which the
// caller has just created.
func (tx *Tx) AddFamily(ctx context.Context, f newel.Family) (err error) {
	defer wrap(&err, "add family %s", f.ID)
	if err := tx.covers(f.ID); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into family (clinic_id, id, name, time_zone, language)
		values (@scope_clinic, @id, @name, @zone, @language)`,
		args{"id": f.ID, "name": f.Name, "zone": f.TimeZone, "language": f.Language})
}

// Family returns one family.
func (tx *Tx) Family(ctx context.Context, id newel.FamilyID) (_ newel.Family, err error) {
	defer wrap(&err, "family %s", id)
	return one[newel.Family](ctx, tx, `select id, name, time_zone, language from family where $in(family) and id = @id`, args{"id": id})
}

// Families lists the families in scope by name.
func (tx *Tx) Families(ctx context.Context) (_ []newel.Family, err error) {
	defer wrap(&err, "families")
	return many[newel.Family](ctx, tx, `select id, name, time_zone, language from family where $in(family) order by name, id`, nil)
}

// ChangeFamily stores a family's name, time zone and language.
func (tx *Tx) ChangeFamily(ctx context.Context, f newel.Family) (err error) {
	defer wrap(&err, "change family %s", f.ID)
	return tx.exec(ctx, `update family set name = @name, time_zone = @zone, language = @language where $in(family) and id = @id`,
		args{"id": f.ID, "name": f.Name, "zone": f.TimeZone, "language": f.Language})
}
