package postgres

import (
	"context"
	"time"

	"newel/internal/newel"
	"newel/internal/recording"
)

// PhoneKey is a key pair that phones encrypt to.
type PhoneKey struct {
	ID         newel.PhoneKeyID
	PrivateKey []byte // P-256 scalar
}

// NewestPhoneKey returns the key that phones should use from now on.
func (tx *Tx) NewestPhoneKey(ctx context.Context) (_ PhoneKey, err error) {
	defer wrap(&err, "newest phone key")
	return one[PhoneKey](ctx, tx, `select k.id, k.private_key from phone_key k where $clinic(k) order by k.made_at desc, k.id desc limit 1`, nil)
}

// PhoneKey returns one of the keys that phones have encrypted to.
func (tx *Tx) PhoneKey(ctx context.Context, id newel.PhoneKeyID) (_ PhoneKey, err error) {
	defer wrap(&err, "phone key %s", id)
	return one[PhoneKey](ctx, tx, `select k.id, k.private_key from phone_key k where $clinic(k) and k.id = @id`, args{"id": id})
}

// AddPhoneKey adds a key pair, which becomes the newest.
func (tx *Tx) AddPhoneKey(ctx context.Context, k PhoneKey) (err error) {
	defer wrap(&err, "add phone key %s", k.ID)
	return tx.exec(ctx, `insert into phone_key (clinic_id, id, private_key, made_at) values (@scope_clinic, @id, @private, @now)`,
		args{"id": k.ID, "private": k.PrivateKey})
}

// CheckReceipts reports what is stored of recordings by the scope's own
// account, even if their family is out of reach by now. bodies[i] is the
// SHA-256 of a body of ids[i] in hex, or empty.
func (tx *Tx) CheckReceipts(ctx context.Context, ids []newel.RecordingID, bodies []string) (_ []recording.Checked, err error) {
	defer wrap(&err, "check receipts")
	return many[recording.Checked](ctx, tx, `select a.id,
			v.stored is not null or q.id is not null as known,
			coalesce(v.stored, false) or coalesce(q.receipts ? a.body, false) as stored,
			coalesce(v.sha256, (select b.key from jsonb_each(q.receipts) b order by b.value ->> 'stored_at' desc limit 1), '') as sha256,
			coalesce(v.closed, false) or coalesce((select bool_or((b.value ->> 'closed')::boolean) from jsonb_each(q.receipts) b), false) as closed,
			v.stored is null and q.id is not null as quarantined,
			exists (select from tombstone t where $clinic(t) and t.id = a.id) as gone
		from unnest(@ids::uuid[], @bodies::text[]) with ordinality a(id, body, place)
		left join lateral (select bool_or(encode(d.body_hash, 'hex') = a.body) as stored, bool_or((d.receipt ->> 'closed')::boolean) as closed,
				(array_agg(encode(d.body_hash, 'hex') order by d.received_at desc))[1] as sha256
			from delivery d where $clinic(d) and d.author_id = @scope_account and d.recording_id = a.id) v on true
		left join quarantine q on $clinic(q) and q.account_id = @scope_account and q.id = a.id
		order by a.place`, args{"ids": texts(ids), "bodies": bodies})
}

// ReportUnsent records which recordings the scope's own browser still holds,
// without those that arrived in full during the call. It returns the recordings
// that the browser named earlier, no longer names, and that have not arrived.
// They stay recorded until the browser has been told or they arrive.
func (tx *Tx) ReportUnsent(ctx context.Context, device newel.DeviceID, unsent, told []newel.RecordingID) (_ []newel.RecordingID, err error) {
	defer wrap(&err, "report unsent of %s", device)
	in := args{"device": device, "unsent": texts(unsent), "told": texts(told)}
	// Wait for deliveries in progress, so that the next statement sees them.
	const own = `from device d where $clinic(d) and d.account_id = @scope_account and d.id = @device and d.revoked_at is null`
	if _, err := tx.tx.Exec(ctx, tx.sql(`select `+own+` for no key update`), tx.with(in)); err != nil {
		return nil, translate(err)
	}
	row, err := one[struct{ Lost []newel.RecordingID }](ctx, tx, `with was as (select d.id, d.unsent `+own+`),
		missing as (
			select was.id, array(select u.id from unnest(was.unsent) u(id)
				where u.id <> all (@unsent::uuid[]) and u.id <> all (@told::uuid[])
					and not exists (select from delivery v where $clinic(v) and v.recording_id = u.id and v.author_id = @scope_account)
					and not exists (select from quarantine q where $clinic(q) and q.account_id = @scope_account and q.id = u.id)
					and not exists (select from tombstone t where $clinic(t) and t.id = u.id)) as lost
			from was),
		held as (
			select array(select u.id from unnest(@unsent::uuid[]) u(id)
				where not exists (select from delivery v where $clinic(v) and v.recording_id = u.id and v.author_id = @scope_account
					and (v.receipt ->> 'closed')::boolean)) as ids)
		update device d set unsent = held.ids || missing.lost from missing, held where $clinic(d) and d.id = missing.id
		returning missing.lost`, in)
	return row.Lost, err
}

// PIN is a browser's PIN as stored.
type PIN struct {
	Device newel.DeviceID
	Hash   *string    `json:"-"` // nil if none was set
	Tries  int        // consecutive tries that failed or are being checked
	After  *time.Time // tries are ignored until then
}

// Set reports whether a PIN is set.
func (p PIN) Set() bool { return p.Hash != nil }

const pinColumns = `d.id as device, d.pin_hash as hash, d.pin_tries as tries, d.pin_after as after`

// OwnPIN returns the PIN of the scope's own browser.
func (tx *Tx) OwnPIN(ctx context.Context, device newel.DeviceID) (_ PIN, err error) {
	defer wrap(&err, "PIN of %s", device)
	return one[PIN](ctx, tx, `select `+pinColumns+` from device d
		where $clinic(d) and d.account_id = @scope_account and d.id = @device and d.revoked_at is null`, args{"device": device})
}

// TryPIN counts a try before it is checked, so that concurrent tries all count,
// and returns the hash to compare with. It returns ErrNotFound if no try is
// allowed at this time.
func (tx *Tx) TryPIN(ctx context.Context, device newel.DeviceID, most int, wait time.Duration) (_ PIN, err error) {
	defer wrap(&err, "try PIN of %s", device)
	return one[PIN](ctx, tx, `update device d set pin_tries = d.pin_tries + 1, pin_after = @now::timestamptz + @wait_s::float8 * interval '1 second'
		where $clinic(d) and d.account_id = @scope_account and d.id = @device and d.revoked_at is null and d.pin_hash is not null
			and d.pin_tries < @most and coalesce(d.pin_after <= @now, true)
		returning `+pinColumns, args{"device": device, "most": most, "wait_s": wait.Seconds()})
}

// LockUntilPIN locks the scope's own browser until its PIN is entered.
func (tx *Tx) LockUntilPIN(ctx context.Context, device newel.DeviceID) (err error) {
	defer wrap(&err, "lock %s", device)
	return tx.exec(ctx, `update device d set waits = true
		where $clinic(d) and d.account_id = @scope_account and d.id = @device and d.revoked_at is null`, args{"device": device})
}

// PassPIN resets the failed tries of the scope's own browser and unlocks it.
func (tx *Tx) PassPIN(ctx context.Context, device newel.DeviceID) (err error) {
	defer wrap(&err, "pass PIN of %s", device)
	return tx.exec(ctx, `update device d set pin_tries = 0, pin_after = null, waits = false
		where $clinic(d) and d.account_id = @scope_account and d.id = @device and d.revoked_at is null`, args{"device": device})
}

// SetPIN sets the PIN of the scope's own browser and resets the failed tries.
func (tx *Tx) SetPIN(ctx context.Context, device newel.DeviceID, hash string) (err error) {
	defer wrap(&err, "set PIN of %s", device)
	return tx.exec(ctx, `update device d set pin_hash = @hash, pin_tries = 0, pin_after = null
		where $clinic(d) and d.account_id = @scope_account and d.id = @device and d.revoked_at is null`, args{"device": device, "hash": hash})
}

// QuarantinedFrom returns a quarantined recording that the account has sent,
// even if it is settled.
func (tx *Tx) QuarantinedFrom(ctx context.Context, account newel.AccountID, id newel.RecordingID) (_ Quarantined, err error) {
	defer wrap(&err, "quarantined %s of %s", id, account)
	return one[Quarantined](ctx, tx, `select q.id, q.account_id, q.placement_id, q.body, q.receipts, q.why, q.received_at from quarantine q
		where $clinic(q) and q.account_id = @account and q.id = @id and (q.account_id = @scope_account or @scope_staff::boolean
			and (@scope_whole::boolean or exists (select from placement p where $in(p) and p.id = q.placement_id)))`,
		args{"account": account, "id": id})
}

// QuarantineFor quarantines a recording whose author is someone else, because
// it came in as a file. Its placement must be in reach.
func (tx *Tx) QuarantineFor(ctx context.Context, author newel.AccountID, state recording.State, placement newel.PlacementID, why string, receipt recording.Receipt) (err error) {
	defer wrap(&err, "quarantine %s for %s", state.ID(), author)
	if err := tx.staff(); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into quarantine as q (clinic_id, id, account_id, placement_id, body, receipts, why, received_at)
		select p.clinic_id, @id, @author, p.id, @body, jsonb_build_object(@sha256::text, @receipt::jsonb), @why, @now
		from placement p join account a on a.clinic_id = p.clinic_id and a.id = @author where $in(p) and p.id = @placement
		on conflict (clinic_id, account_id, id) do update set body = excluded.body, receipts = q.receipts || excluded.receipts,
			settled_at = null, settled_by = null, outcome = null
		where $clinic(q)`,
		args{"id": state.ID(), "author": author, "placement": placement, "body": state, "sha256": receipt.SHA256, "receipt": receipt, "why": why})
}

// PendingForFamilies lists what is pending for the scope's families on their
// Today page. The latest review comes last.
func (tx *Tx) PendingForFamilies(ctx context.Context) (_ []newel.PendingItem, err error) {
	defer wrap(&err, "what is pending for families")
	return many[newel.PendingItem](ctx, tx, `
		select w.kind, w.id from (
		select @question::text as kind, q.id, q.asked_at as at from question q where $in(q) and q.answered_at is null
		union all select @action, x.id, x.agreed_at from agreed_action x where $in(x) and x.outcome is null and x.whose = 'family'
		union all select @message, m.id, m.written_at from message m where $in(m) and m.from_clinic and m.read_at is null
		union all select @review, r.id, r.began_at from review r where $in(r) and r.ended_at is null and r.began_at > @since) w
		order by w.at, w.id`, args{
		"question": newel.PendingQuestion, "action": newel.PendingAction, "message": newel.PendingMessage, "review": newel.PendingReview,
		"since": tx.Now().Add(-newel.ReviewDuration),
	})
}
