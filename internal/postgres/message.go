package postgres

import (
	"context"

	"newel/internal/newel"
)

// Write stores a message by the scope's own account. Staff write to the family,
// everyone else to the clinic.
func (tx *Tx) Write(ctx context.Context, m newel.Message) (err error) {
	defer wrap(&err, "write message %s", m.ID)
	if err := tx.covers(m.FamilyID); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into message (clinic_id, family_id, id, from_clinic, text, written_by, written_at)
		values (@scope_clinic, @family, @id, @scope_staff, @text, @scope_account, @now)`, args{"family": m.FamilyID, "id": m.ID, "text": m.Text})
}

const messageColumns = `select m.id, m.family_id, m.from_clinic, m.text, m.written_by, coalesce(p.name, a.name, '') as written_by_name, m.written_at,
		coalesce(q.name, b.name, '') as read_by_name, m.read_at, f.time_zone
	from message m
	join family f on f.clinic_id = m.clinic_id and f.id = m.family_id
	left join account a on a.clinic_id = m.clinic_id and a.id = m.written_by
	left join person p on p.clinic_id = m.clinic_id and p.family_id = m.family_id and p.account_id = m.written_by
	left join account b on b.clinic_id = m.clinic_id and b.id = m.read_by
	left join person q on q.clinic_id = m.clinic_id and q.family_id = m.family_id and q.account_id = m.read_by
	where $in(m)`

// Messages lists up to most messages between a family and the clinic, newest
// first.
func (tx *Tx) Messages(ctx context.Context, family newel.FamilyID, most int) (_ []newel.Message, err error) {
	defer wrap(&err, "messages of family %s", family)
	return many[newel.Message](ctx, tx, messageColumns+` and m.family_id = @family order by m.written_at desc, m.id desc limit @most`,
		args{"family": family, "most": most})
}

// MarkMessagesRead marks the other side's messages, up to and including one
// message, as read by the scope's own account. It returns those that no one had
// read before.
func (tx *Tx) MarkMessagesRead(ctx context.Context, family newel.FamilyID, until newel.MessageID) (_ []newel.MessageID, err error) {
	defer wrap(&err, "read messages of family %s", family)
	rows, err := many[struct{ ID newel.MessageID }](ctx, tx, `update message m set read_by = @scope_account, read_at = @now
		where $in(m) and m.family_id = @family and m.from_clinic <> @scope_staff and m.read_at is null
			and (m.written_at, m.id) <= (select u.written_at, u.id from message u where $in(u) and u.family_id = @family and u.id = @until)
		returning m.id`, args{"family": family, "until": until})
	var ids []newel.MessageID
	for _, r := range rows {
		ids = append(ids, r.ID)
	}
	return ids, err
}
