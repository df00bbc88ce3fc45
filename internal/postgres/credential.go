package postgres

import (
	"context"

	"newel/internal/newel"
)

// UnscopedCredential returns the credential of a sign-in name, whichever clinic
// it belongs to. The credential is visible only in a transaction with that name
// as its key.
func (tx *Tx) UnscopedCredential(ctx context.Context, signInName string) (_ newel.Credential, err error) {
	defer wrap(&err, "credential")
	return one[newel.Credential](ctx, tx, `select account_id as account, clinic_id as clinic, sign_in_name, password_hash, epoch
		from credential where sign_in_name = @name`, args{"name": signInName})
}

// Credential returns the scope's own credential.
func (tx *Tx) Credential(ctx context.Context) (_ newel.Credential, err error) {
	defer wrap(&err, "own credential")
	return one[newel.Credential](ctx, tx, `select account_id as account, clinic_id as clinic, sign_in_name, password_hash, epoch
		from credential c where $clinic(c) and account_id = @scope_account`, nil)
}

// AddCredential adds a sign-in name to an account, without a password so far.
// It returns an Invalid for the field "email" if the name is taken.
func (tx *Tx) AddCredential(ctx context.Context, account newel.AccountID, signInName string) (err error) {
	defer wrap(&err, "add credential %s", account)
	if err := tx.staff(); err != nil {
		return err
	}
	return nameTakenError(tx.exec(ctx, `insert into credential (clinic_id, account_id, sign_in_name, password_hash)
		values (@scope_clinic, @account, @name, '')`, args{"account": account, "name": signInName}))
}

// ChangeSignInName changes an account's sign-in name. It returns an Invalid for
// the field "email" if the name is taken.
func (tx *Tx) ChangeSignInName(ctx context.Context, account newel.AccountID, signInName string) (err error) {
	defer wrap(&err, "change sign-in name %s", account)
	return nameTakenError(tx.exec(ctx, `update credential c set sign_in_name = @name
		where $staff(c) and account_id = @account`, args{"account": account, "name": signInName}))
}

func nameTakenError(err error) error {
	if !violates(err, "credential_sign_in_name_key") {
		return err
	}
	invalid := &newel.Invalid{}
	invalid.Add("email", "people.email_taken")
	return invalid
}

// SetPassword stores a new password hash for the account and ends all earlier
// sign-ins.
func (tx *Tx) SetPassword(ctx context.Context, account newel.AccountID, hash string) (err error) {
	defer wrap(&err, "set password %s", account)
	return tx.exec(ctx, `update credential c set password_hash = @hash, epoch = epoch + 1, changed_at = @now
		where $staff(c) and account_id = @account`, args{"account": account, "hash": hash})
}

// Rehash replaces the hash of an unchanged password, unless another request has
// changed it.
func (tx *Tx) Rehash(ctx context.Context, account newel.AccountID, before, after string) (err error) {
	defer wrap(&err, "rehash %s", account)
	return tx.execAny(ctx, `update credential c set password_hash = @after
		where $staff(c) and account_id = @account and password_hash = @before`,
		args{"account": account, "before": before, "after": after})
}
