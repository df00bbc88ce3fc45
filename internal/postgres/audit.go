package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"

	"newel/internal/newel"
)

// Deed is one line of the audit trail: who did what to which thing. It never
// holds content.
type Deed struct {
	At        time.Time
	AccountID *newel.AccountID
	FamilyID  *newel.FamilyID
	Deed      string
	Subject   *uuid.UUID
}

// Note writes an audit entry in the transaction of the deed itself. family may
// be zero; otherwise the scope must cover it.
func (tx *Tx) Note(ctx context.Context, deed string, family newel.FamilyID, subject uuid.UUID) (err error) {
	defer wrap(&err, "note %s", deed)
	if !family.IsZero() {
		if err := tx.covers(family); err != nil {
			return err
		}
	}
	return tx.exec(ctx, `insert into audit (clinic_id, id, at, account_id, family_id, deed, subject)
		values (@scope_clinic, @id, @now, nullif(@scope_account::uuid, @none), nullif(@family::uuid, @none), @deed, nullif(@subject::uuid, @none))`,
		args{"id": uuid.Must(uuid.NewV7()), "family": family, "deed": deed, "subject": subject, "none": uuid.Nil})
}

// Deeds lists the newest audit entries about families in scope. Callers who
// reach the whole clinic also see entries that concern no family.
func (tx *Tx) Deeds(ctx context.Context, limit int) (_ []Deed, err error) {
	defer wrap(&err, "deeds")
	return many[Deed](ctx, tx, `select at, account_id, family_id, deed, subject from audit
		where $in(audit) order by at desc, id desc limit @limit`, args{"limit": limit})
}
