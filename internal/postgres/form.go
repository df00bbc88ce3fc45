package postgres

import (
	"context"

	"github.com/google/uuid"
)

// FormSent returns the location that the account's form with this token led to,
// or "" if it has not been sent. Forms with the same token wait for each other.
func (tx *Tx) FormSent(ctx context.Context, token uuid.UUID) (_ string, err error) {
	defer wrap(&err, "form sent")
	if err := tx.execAny(ctx, `select pg_advisory_xact_lock(hashtextextended(@token::text, 0))`, args{"token": token}); err != nil {
		return "", err
	}
	rows, err := many[struct{ Location string }](ctx, tx, `select location from form_sent f
		where $clinic(f) and account_id = @scope_account and token = @token`, args{"token": token})
	if err != nil || len(rows) == 0 {
		return "", err
	}
	return rows[0].Location, nil
}

// SaveForm records that the account's form was sent and where it led.
func (tx *Tx) SaveForm(ctx context.Context, token uuid.UUID, location string) (err error) {
	defer wrap(&err, "keep form")
	return tx.exec(ctx, `insert into form_sent (clinic_id, account_id, token, location, sent_at)
		values (@scope_clinic, @scope_account, @token, @location, @now)`, args{"token": token, "location": location})
}
