package postgres

import (
	"context"
	"slices"

	"newel/internal/newel"
)

// Standing returns what the scope's own account may do, and the families it
// looks after or belongs to. The scope needs only a clinic and an account,
// because the rest of the scope is derived from the result.
func (tx *Tx) Standing(ctx context.Context) (_ newel.Standing, err error) {
	defer wrap(&err, "standing")
	return one[newel.Standing](ctx, tx, `select a.name, a.capacities, a.active, coalesce(c.epoch, 0) as epoch,
			array(select l.family_id from caseload l where $clinic(l) and l.account_id = a.id
				union select p.family_id from person p where $clinic(p) and p.account_id = a.id) as families
		from account a left join credential c on c.clinic_id = a.clinic_id and c.account_id = a.id
		where $clinic(a) and a.id = @scope_account`, nil)
}

// AddAccount adds an account. Staff may add any account; a newcomer may add
// only their own, as a caregiver.
func (tx *Tx) AddAccount(ctx context.Context, a newel.Account) (err error) {
	defer wrap(&err, "add account %s", a.ID)
	if err := tx.staff(); err != nil && (a.ID != tx.scope.Account || !slices.Equal(a.Capacities, []newel.Capacity{newel.Caregiver})) {
		return err
	}
	return tx.exec(ctx, `insert into account (clinic_id, id, name, capacities, active)
		values (@scope_clinic, @id, @name, @capacities, @active)`,
		args{"id": a.ID, "name": a.Name, "capacities": capacityTexts(a.Capacities), "active": a.Active})
}

// ChangeAccount stores a new name, the capacities and whether the account is
// active.
func (tx *Tx) ChangeAccount(ctx context.Context, a newel.Account) (err error) {
	defer wrap(&err, "change account %s", a.ID)
	return tx.exec(ctx, `update account a set name = @name, capacities = @capacities, active = @active
		where $staff(a) and id = @id`,
		args{"id": a.ID, "name": a.Name, "capacities": capacityTexts(a.Capacities), "active": a.Active})
}

// staffColumns selects a newel.Staff; family accounts are left out.
const staffColumns = `select a.id, a.name, a.capacities, a.active, coalesce(c.sign_in_name, '') as sign_in_name,
		coalesce(c.password_hash, '') <> '' as has_password, l.id as link_id, l.expires_at as link_ends
	from account a left join credential c on c.clinic_id = a.clinic_id and c.account_id = a.id
		left join lateral (select id, expires_at from setup_link s where s.clinic_id = a.clinic_id and s.account_id = a.id
			and consumed_at is null and revoked_at is null and expires_at > @now order by id desc limit 1) l on true
	where $staff(a) and a.capacities && array['administrator','lead','supervisor','trainee','office']`

// Staff lists the clinic's own people by name.
func (tx *Tx) Staff(ctx context.Context) (_ []newel.Staff, err error) {
	defer wrap(&err, "staff")
	return many[newel.Staff](ctx, tx, staffColumns+` order by a.active desc, a.name, a.id`, nil)
}

// StaffMember returns one member of the clinic's staff.
func (tx *Tx) StaffMember(ctx context.Context, id newel.AccountID) (_ newel.Staff, err error) {
	defer wrap(&err, "staff member %s", id)
	return one[newel.Staff](ctx, tx, staffColumns+` and a.id = @id`, args{"id": id})
}

// LockAdministrators returns the active administrators that have a password,
// and locks their accounts until the transaction ends.
func (tx *Tx) LockAdministrators(ctx context.Context) (_ []newel.AccountID, err error) {
	defer wrap(&err, "lock administrators")
	rows, err := many[struct{ ID newel.AccountID }](ctx, tx, `select a.id from account a
		join credential c on c.clinic_id = a.clinic_id and c.account_id = a.id and c.password_hash <> ''
		where $staff(a) and a.active and a.capacities @> array['administrator'] order by a.id for update of a`, nil)
	ids := make([]newel.AccountID, len(rows))
	for i, r := range rows {
		ids[i] = r.ID
	}
	return ids, err
}

func capacityTexts(cs []newel.Capacity) []string {
	texts := make([]string, len(cs))
	for i, c := range cs {
		texts[i] = string(c)
	}
	return texts
}
