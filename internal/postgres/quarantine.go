package postgres

import (
	"context"
	"time"

	"newel/internal/newel"
	"newel/internal/recording"
)

// Quarantined is a recording in quarantine: it is kept until someone decides
// about it.
type Quarantined struct {
	ID          newel.RecordingID
	AccountID   newel.AccountID // who sent it
	Account     string          // name
	PlacementID newel.PlacementID
	Body        recording.State
	Receipts    map[string]recording.Receipt
	Why         string
	ReceivedAt  time.Time
	// FamilyID and Learner are those of the placement; nil and empty if the
	// placement is unknown.
	FamilyID *newel.FamilyID
	Learner  string
	Program  string
	TimeZone string // of the family; empty if unknown
}

// Outcomes of a quarantined recording.
const (
	QuarantineAccepted = "taken_in"
	QuarantineSetAside = "set_aside"
)

// Quarantine quarantines a recording of the actor's, or a later state of it. A
// settled one is open again.
func (tx *Tx) Quarantine(ctx context.Context, state recording.State, placement newel.PlacementID, why string, receipt recording.Receipt) (err error) {
	defer wrap(&err, "hold %s", state.ID())
	return tx.exec(ctx, `insert into quarantine as q (clinic_id, id, account_id, placement_id, body, receipts, why, received_at)
		values (@scope_clinic, @id, @scope_account, @placement, @body, jsonb_build_object(@sha256::text, @receipt::jsonb), @why, @now)
		on conflict (clinic_id, account_id, id) do update set body = excluded.body, receipts = q.receipts || excluded.receipts,
			settled_at = null, settled_by = null, outcome = null
		where $clinic(q) and q.account_id = @scope_account`,
		args{"id": state.ID(), "placement": placement, "body": state, "sha256": receipt.SHA256, "receipt": receipt, "why": why})
}

const quarantinedFrom = ` from quarantine q
	join account a on $clinic(a) and a.id = q.account_id
	left join placement p on $in(p) and p.id = q.placement_id
	left join assignment s on $in(s) and s.id = p.assignment_id
	left join family on $in(family) and family.id = p.family_id
	left join learner l on $in(l) and l.id = s.learner_id
	left join program m on $clinic(m) and m.id = s.program_id
	where $clinic(q) and (@scope_whole::boolean or p.id is not null) and q.settled_at is null`

const quarantinedColumns = `q.id, q.account_id, a.name as account, q.placement_id, q.body, q.receipts, q.why, q.received_at, p.family_id,
	coalesce(l.nickname, '') as learner, coalesce(m.title, '') as program,
	coalesce(family.time_zone, '') as time_zone`

// AllQuarantined lists the quarantined recordings in scope, oldest first.
func (tx *Tx) AllQuarantined(ctx context.Context) (_ []Quarantined, err error) {
	defer wrap(&err, "quarantined")
	return many[Quarantined](ctx, tx, `select `+quarantinedColumns+quarantinedFrom+` order by q.received_at, q.id`, nil)
}

// LockQuarantined returns one quarantined recording and locks it.
func (tx *Tx) LockQuarantined(ctx context.Context, account newel.AccountID, id newel.RecordingID) (_ Quarantined, err error) {
	defer wrap(&err, "quarantined %s", id)
	return one[Quarantined](ctx, tx, `select `+quarantinedColumns+quarantinedFrom+` and q.account_id = @account and q.id = @id for no key update of q`,
		args{"account": account, "id": id})
}

// Settle records someone's decision about a quarantined recording.
func (tx *Tx) Settle(ctx context.Context, account newel.AccountID, id newel.RecordingID, outcome string) (err error) {
	defer wrap(&err, "settle %s", id)
	return tx.exec(ctx, `update quarantine q set settled_at = @now, settled_by = @scope_account, outcome = @outcome
		where $clinic(q) and q.account_id = @account and q.id = @id and q.settled_at is null
			and (@scope_whole::boolean or exists (select from placement p where $in(p) and p.id = q.placement_id))`,
		args{"account": account, "id": id, "outcome": outcome})
}
