package postgres

import (
	"context"
	"errors"

	"newel/internal/newel"
)

// KeyedInvitation is an invitation found by its token, with the clinic it
// belongs to.
type KeyedInvitation struct {
	newel.Invitation
	Clinic newel.ClinicID
}

const invitationColumns = `i.id, i.family_id, i.person_id, i.expires_at, i.created_by, i.consumed_at, i.revoked_at`

// UnscopedInvitation returns the invitation of a token's hash, in any state.
// The invitation is visible only in a transaction with that hash as its key.
func (tx *Tx) UnscopedInvitation(ctx context.Context, hash string) (_ KeyedInvitation, err error) {
	defer wrap(&err, "invitation")
	return one[KeyedInvitation](ctx, tx, `select `+invitationColumns+`, i.clinic_id as clinic
		from invitation i where i.token_hash = @hash`, args{"hash": hash})
}

// AddInvitation adds an invitation and revokes the person's earlier open ones:
// only one is valid at a time.
func (tx *Tx) AddInvitation(ctx context.Context, i newel.Invitation, hash string) (err error) {
	defer wrap(&err, "add invitation %s", i.ID)
	if err := tx.covers(i.FamilyID); err != nil {
		return err
	}
	err = tx.execAny(ctx, `update invitation i set revoked_at = @now
		where $in(i) and person_id = @person and consumed_at is null and revoked_at is null`, args{"person": i.PersonID})
	if err != nil {
		return err
	}
	return tx.exec(ctx, `insert into invitation (clinic_id, family_id, id, person_id, token_hash, created_by, created_at, expires_at)
		values (@scope_clinic, @family, @id, @person, @hash, @by, @now, @expires)`,
		args{"family": i.FamilyID, "id": i.ID, "person": i.PersonID, "hash": hash, "by": i.CreatedBy, "expires": i.ExpiresAt})
}

// InvitationsOf lists the open invitations of a family.
func (tx *Tx) InvitationsOf(ctx context.Context, family newel.FamilyID) (_ []newel.Invitation, err error) {
	defer wrap(&err, "invitations of %s", family)
	return many[newel.Invitation](ctx, tx, `select `+invitationColumns+` from invitation i where $in(i) and i.family_id = @family
		and consumed_at is null and revoked_at is null and expires_at > @now order by i.id`, args{"family": family})
}

// UseInvitation uses up an invitation. It returns ErrGone if the invitation is
// not open any more; of two concurrent calls only one succeeds.
func (tx *Tx) UseInvitation(ctx context.Context, id newel.InvitationID) (err error) {
	defer wrap(&err, "use invitation %s", id)
	return goneError(tx.exec(ctx, `update invitation i set consumed_at = @now
		where $in(i) and id = @id and consumed_at is null and revoked_at is null and expires_at > @now`, args{"id": id}))
}

// RevokeInvitation revokes an open invitation and returns its family. It
// returns ErrGone if the invitation has been used.
func (tx *Tx) RevokeInvitation(ctx context.Context, id newel.InvitationID) (family newel.FamilyID, err error) {
	defer wrap(&err, "revoke invitation %s", id)
	i, err := one[newel.Invitation](ctx, tx, `select `+invitationColumns+` from invitation i where $in(i) and id = @id`, args{"id": id})
	if err != nil {
		return newel.FamilyID{}, err
	}
	return i.FamilyID, goneError(tx.exec(ctx, `update invitation i set revoked_at = @now
		where $in(i) and id = @id and consumed_at is null and revoked_at is null`, args{"id": id}))
}

// goneError turns "no such row" into ErrGone for a link that is known to exist:
// it was used or revoked, or it has expired.
func goneError(err error) error {
	if errors.Is(err, newel.ErrNotFound) {
		return newel.ErrGone
	}
	return err
}
