package postgres

import (
	"context"

	"newel/internal/newel"
)

// KeyStart is the key of a transaction that finds out whether any clinic
// exists.
const KeyStart = "start"

// UnscopedClinics lists the clinics of the installation, oldest first. They are
// visible only in a transaction with KeyStart, and only one such transaction
// runs at a time.
func (tx *Tx) UnscopedClinics(ctx context.Context) (_ []newel.Clinic, err error) {
	defer wrap(&err, "clinics")
	if err := tx.execAny(ctx, `select pg_advisory_xact_lock(hashtextextended('newel: first start', 0))`, nil); err != nil {
		return nil, err
	}
	return many[newel.Clinic](ctx, tx, `select id, name, time_zone from clinic order by created_at, id`, nil)
}

// AddClinic adds the scope's own clinic.
func (tx *Tx) AddClinic(ctx context.Context, c newel.Clinic) (err error) {
	defer wrap(&err, "add clinic %s", c.ID)
	if err := tx.staff(); err != nil {
		return err
	}
	if c.ID != tx.scope.Clinic && !tx.unconditional {
		return newel.ErrNotFound
	}
	return tx.exec(ctx, `insert into clinic (id, name, time_zone) values (@id, @name, @zone)`,
		args{"id": c.ID, "name": c.Name, "zone": c.TimeZone})
}

// Clinic returns the scope's clinic.
func (tx *Tx) Clinic(ctx context.Context) (_ newel.Clinic, err error) {
	defer wrap(&err, "clinic")
	return one[newel.Clinic](ctx, tx, `select id, name, time_zone from clinic where id = @scope_clinic`, nil)
}

// ChangeClinic stores a new name and time zone for the scope's clinic.
func (tx *Tx) ChangeClinic(ctx context.Context, name, zone string) (err error) {
	defer wrap(&err, "change clinic")
	if err := tx.staff(); err != nil {
		return err
	}
	return tx.exec(ctx, `update clinic set name = @name, time_zone = @zone where id = @scope_clinic`,
		args{"name": name, "zone": zone})
}
