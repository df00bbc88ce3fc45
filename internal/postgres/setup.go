package postgres

import (
	"context"

	"newel/internal/newel"
)

const setupColumns = `id, clinic_id as clinic, account_id as account, expires_at, consumed_at, revoked_at`

// UnscopedSetupLink returns the set-up link of a token's hash, in any state.
// The link is visible only in a transaction with that hash as its key.
func (tx *Tx) UnscopedSetupLink(ctx context.Context, hash string) (_ newel.SetupLink, err error) {
	defer wrap(&err, "set-up link")
	return one[newel.SetupLink](ctx, tx, `select `+setupColumns+` from setup_link where token_hash = @hash`, args{"hash": hash})
}

// AddSetupLink adds a link and revokes the account's earlier open ones: only
// one is valid at a time.
func (tx *Tx) AddSetupLink(ctx context.Context, l newel.SetupLink, hash string) (err error) {
	defer wrap(&err, "add set-up link %s", l.ID)
	if err := tx.staff(); err != nil {
		return err
	}
	err = tx.execAny(ctx, `update setup_link l set revoked_at = @now
		where $staff(l) and account_id = @account and consumed_at is null and revoked_at is null`, args{"account": l.Account})
	if err != nil {
		return err
	}
	return tx.exec(ctx, `insert into setup_link (clinic_id, id, account_id, token_hash, created_at, expires_at)
		values (@scope_clinic, @id, @account, @hash, @now, @expires)`,
		args{"id": l.ID, "account": l.Account, "hash": hash, "expires": l.ExpiresAt})
}

// UseSetupLink uses up a link. It returns ErrGone if the link is not open any
// more; of two concurrent calls only one succeeds.
func (tx *Tx) UseSetupLink(ctx context.Context, id newel.SetupLinkID) (err error) {
	defer wrap(&err, "use set-up link %s", id)
	return goneError(tx.exec(ctx, `update setup_link l set consumed_at = @now
		where $staff(l) and id = @id and consumed_at is null and revoked_at is null and expires_at > @now`, args{"id": id}))
}

// RevokeSetupLinks revokes the account's open links.
func (tx *Tx) RevokeSetupLinks(ctx context.Context, account newel.AccountID) (err error) {
	defer wrap(&err, "revoke set-up links of %s", account)
	return tx.exec(ctx, `update setup_link l set revoked_at = @now
		where $staff(l) and account_id = @account and consumed_at is null and revoked_at is null`, args{"account": account})
}
