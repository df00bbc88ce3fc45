package postgres

import (
	"context"

	"newel/internal/newel"
)

// LookAfter adds a family to an account's caseload. Doing it again changes
// nothing.
func (tx *Tx) LookAfter(ctx context.Context, family newel.FamilyID, account newel.AccountID) (err error) {
	defer wrap(&err, "look after %s", family)
	if err := tx.covers(family); err != nil {
		return err
	}
	return tx.execAny(ctx, `insert into caseload (clinic_id, family_id, account_id, since)
		values (@scope_clinic, @family, @account, @now) on conflict do nothing`, args{"family": family, "account": account})
}

// StopLookingAfter removes a family from an account's caseload.
func (tx *Tx) StopLookingAfter(ctx context.Context, family newel.FamilyID, account newel.AccountID) (err error) {
	defer wrap(&err, "let go of %s", family)
	return tx.exec(ctx, `delete from caseload c where $in(c) and family_id = @family and account_id = @account`,
		args{"family": family, "account": account})
}

// LookingAfter lists the accounts that have a family on their caseload, by
// name.
func (tx *Tx) LookingAfter(ctx context.Context, family newel.FamilyID) (_ []newel.Account, err error) {
	defer wrap(&err, "looking after %s", family)
	return many[newel.Account](ctx, tx, `select a.id, a.name, a.capacities, a.active
		from caseload c join account a on a.clinic_id = c.clinic_id and a.id = c.account_id
		where $in(c) and c.family_id = @family order by a.name, a.id`, args{"family": family})
}
