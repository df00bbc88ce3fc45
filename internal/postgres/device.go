package postgres

import (
	"context"

	"newel/internal/newel"
)

// KeyedDevice is a bound browser found by its token, with the clinic it
// belongs to.
type KeyedDevice struct {
	newel.Device
	Clinic newel.ClinicID
	Locked bool // locked until its PIN is entered
}

// FamilyDevice is a linked browser of a family member.
type FamilyDevice struct {
	newel.Device
	Person newel.PersonID
}

const deviceColumns = `d.id, d.account_id as account, d.label, d.created_at, d.seen_on, d.revoked_at`

// UnscopedDevice returns the browser of a token's hash unless it was revoked.
// The browser is visible only in a transaction with that hash as its key.
func (tx *Tx) UnscopedDevice(ctx context.Context, hash string) (_ KeyedDevice, err error) {
	defer wrap(&err, "device")
	return one[KeyedDevice](ctx, tx, `select `+deviceColumns+`, d.clinic_id as clinic, d.waits as locked
		from device d where d.token_hash = @hash and d.revoked_at is null`, args{"hash": hash})
}

// AddDevice links a browser to the scope's own account.
func (tx *Tx) AddDevice(ctx context.Context, d newel.Device, hash string) (err error) {
	defer wrap(&err, "add device %s", d.ID)
	if d.Account != tx.scope.Account && !tx.unconditional {
		return newel.ErrNotFound
	}
	return tx.exec(ctx, `insert into device (clinic_id, id, account_id, token_hash, label, created_at, seen_on)
		values (@scope_clinic, @id, @account, @hash, @label, @now, (@now::timestamptz at time zone 'UTC')::date)`,
		args{"id": d.ID, "account": d.Account, "hash": hash, "label": d.Label})
}

// SeeDevice records that the scope's own browser was used today.
func (tx *Tx) SeeDevice(ctx context.Context, id newel.DeviceID) (err error) {
	defer wrap(&err, "see device %s", id)
	return tx.exec(ctx, `update device d set seen_on = (@now::timestamptz at time zone 'UTC')::date where $clinic(d) and account_id = @scope_account and id = @id`, args{"id": id})
}

// LeaveDevice revokes the scope's own browser.
func (tx *Tx) LeaveDevice(ctx context.Context, id newel.DeviceID) (err error) {
	defer wrap(&err, "leave device %s", id)
	return tx.exec(ctx, `update device d set revoked_at = @now
		where $clinic(d) and account_id = @scope_account and id = @id and revoked_at is null`, args{"id": id})
}

// DevicesOf lists the browsers of a family's people, without revoked ones.
func (tx *Tx) DevicesOf(ctx context.Context, family newel.FamilyID) (_ []FamilyDevice, err error) {
	defer wrap(&err, "devices of %s", family)
	return many[FamilyDevice](ctx, tx, `select `+deviceColumns+`, p.id as person
		from person p join device d on d.clinic_id = p.clinic_id and d.account_id = p.account_id
		where $in(p) and p.family_id = @family and d.revoked_at is null order by d.created_at, d.id`, args{"family": family})
}

// RevokeDevice revokes a browser of a family in scope and returns the family.
func (tx *Tx) RevokeDevice(ctx context.Context, id newel.DeviceID) (family newel.FamilyID, err error) {
	defer wrap(&err, "cut device %s", id)
	d, err := one[struct{ FamilyID newel.FamilyID }](ctx, tx, `update device d set revoked_at = coalesce(d.revoked_at, @now)
		from person p where p.clinic_id = d.clinic_id and p.account_id = d.account_id and $in(p) and d.id = @id
		returning p.family_id`, args{"id": id})
	return d.FamilyID, err
}
