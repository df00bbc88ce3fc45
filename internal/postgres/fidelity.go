package postgres

import (
	"context"
	"errors"

	"newel/internal/newel"
)

// AddFidelity records a fidelity check by the scope's own account.
func (tx *Tx) AddFidelity(ctx context.Context, f newel.Fidelity) (err error) {
	defer wrap(&err, "add fidelity %s", f.ID)
	if err := errors.Join(tx.covers(f.FamilyID), tx.staff()); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into fidelity (clinic_id, family_id, id, placement_id, person_id, taught_on, watched, points, note, noted_by, noted_at)
		values (@scope_clinic, @family, @id, @placement, @person, @on, @watched, @points, @note, @scope_account, @now)`,
		args{"family": f.FamilyID, "id": f.ID, "placement": f.PlacementID, "person": f.PersonID, "on": f.TaughtOn, "watched": f.Watched, "points": f.Points, "note": f.Note})
}

// Fidelity lists the fidelity checks of an assignment, newest first, including
// withdrawn ones. Only staff see them.
func (tx *Tx) Fidelity(ctx context.Context, assignment newel.AssignmentID) (_ []newel.Fidelity, err error) {
	defer wrap(&err, "fidelity of assignment %s", assignment)
	return many[newel.Fidelity](ctx, tx, `
		select y.id, y.family_id, y.placement_id, y.person_id, n.name as person_name, y.taught_on, y.watched, y.points, y.note,
			y.noted_by, coalesce(a.name, '') as noted_by_name, y.noted_at, y.withdrawn_at, coalesce(b.name, '') as withdrawn_by_name
		from placement p
		join fidelity y on y.clinic_id = p.clinic_id and y.family_id = p.family_id and y.placement_id = p.id
		join person n on n.clinic_id = y.clinic_id and n.family_id = y.family_id and n.id = y.person_id
		left join account a on a.clinic_id = y.clinic_id and a.id = y.noted_by
		left join account b on b.clinic_id = y.clinic_id and b.id = y.withdrawn_by
		where $in(p) and $in(y) and $staff(y) and p.assignment_id = @assignment order by y.taught_on desc, y.noted_at desc, y.id desc`,
		args{"assignment": assignment})
}

// WithdrawFidelity withdraws a fidelity check on a placement. It returns
// ErrNotFound if there is no such check or it was withdrawn before.
func (tx *Tx) WithdrawFidelity(ctx context.Context, placement newel.PlacementID, id newel.FidelityID) (family newel.FamilyID, err error) {
	defer wrap(&err, "withdraw fidelity %s", id)
	row, err := one[struct{ FamilyID newel.FamilyID }](ctx, tx, `update fidelity y set withdrawn_by = @scope_account, withdrawn_at = @now
		where $in(y) and $staff(y) and y.placement_id = @placement and y.id = @id and y.withdrawn_at is null returning y.family_id`,
		args{"placement": placement, "id": id})
	return row.FamilyID, err
}
