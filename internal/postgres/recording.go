package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/recording"
)

// columns of Recording.
const recordingColumns = `r.id, r.family_id, r.placement_id, r.author_id, r.by_id, r.state, r.closed, r.void,
	r.afterwards, r.distress, r.needs_person, r.started_at, r.ended_at, r.local_date, r.corrected, r.odd_clock, r.trials,
	r.received_at, r.closed_at`

func recordingArgs(r recording.Kept) args {
	return args{
		"id": r.ID, "family": r.FamilyID, "placement": r.PlacementID, "author": r.AuthorID, "by": r.ByID, "state": r.State,
		"session": r.Session, "closed": r.Closed, "void": r.Void, "afterwards": r.Afterwards, "distress": r.Distress,
		"needs_person": r.NeedsPerson, "started_at": r.StartedAt, "ended_at": r.EndedAt, "local_date": r.LocalDate,
		"corrected": r.Corrected, "odd_clock": r.OddClock, "trials": r.Trials, "received_at": r.ReceivedAt, "closed_at": r.ClosedAt,
	}
}

// Delivery identifies a document that has arrived.
type Delivery struct {
	ID        newel.RecordingID
	Placement newel.PlacementID
	SHA256    string // of the body, hex
	Closing   bool
}

// DeliveryState is what the actor can see when a document arrives.
type DeliveryState struct {
	Erased      bool
	Receipt     *recording.Receipt // set if this exact body arrived before, even if its family is out of reach by now
	Quarantined *recording.State   // what the actor has in quarantine for it
	Before      *recording.Kept    // nil if unknown or out of reach
	// Facts is what the placement's reading is computed from; nil if unknown
	// or out of reach.
	Facts      *reading.Facts
	People     []newel.PersonID // of the placement's family
	Amendments []recording.Amendment
}

// deliveryRow is DeliveryState as one row.
type deliveryRow struct {
	factsRow
	Erased      bool
	Receipt     *recording.Receipt
	Quarantined *recording.State

	ID          *newel.RecordingID
	RPlacement  *newel.PlacementID
	AuthorID    *newel.AccountID
	State       *recording.State
	StartedAt   *time.Time
	EndedAt     *time.Time
	LocalDate   newel.Day
	Corrected   *bool
	OddClock    *bool
	ReceivedAt  *time.Time
	ClosedAt    *time.Time
	RFamily     *newel.FamilyID
	People      []newel.PersonID
	AmendedRows []amendmentRow
}

// LockDelivery locks the recording's id and, for a closing document, its
// placement and the author's browsers. It then returns what is known. It sends
// two statements in one pipeline.
func (tx *Tx) LockDelivery(ctx context.Context, a Delivery) (_ DeliveryState, err error) {
	defer wrap(&err, "arrive %s", a.ID)
	in := tx.with(args{"id": a.ID, "placement": a.Placement, "sha256": a.SHA256, "closing": a.Closing})
	batch := &pgx.Batch{}
	// The second statement takes its snapshot once the first holds its locks.
	batch.Queue(tx.sql(`select pg_advisory_xact_lock(hashtextextended(@id::text, 1)), (select true from (
		select from placement p where @closing::boolean and $in(p) and p.id = @placement for no key update) locked), (select count(*) from (
		select from device d where @closing::boolean and $clinic(d) and d.account_id = @scope_account for no key update) own)`), in)
	batch.Queue(tx.sql(`select
			exists (select from tombstone t where $clinic(t) and t.id = @id) as erased,
			coalesce((select d.receipt from delivery d where ($in(d) or $clinic(d) and d.author_id = @scope_account)
					and d.recording_id = @id and d.body_hash = decode(@sha256, 'hex')),
				q.receipts -> @sha256::text) as receipt,
			q.body as quarantined,
			r.id, r.placement_id as r_placement, r.author_id, r.family_id as r_family, r.state, r.started_at, r.ended_at, r.local_date, r.corrected,
			r.odd_clock, r.received_at, r.closed_at,
			array(select n.id from person n where $in(n) and n.family_id = p.family_id) as people,
			case when r.id is not null then (select jsonb_agg(jsonb_build_object('id', m.id, 'author', m.made_by, 'at', m.made_at,
				'reason', m.reason, 'change', m.change)) from amendment m where $in(m) and m.recording_id = @id) end as amended_rows,
			`+factsColumns("(@closing::boolean or coalesce(r.closed, false))")+`
		from (values (1)) once
		left join placement p on $in(p) and p.id = @placement
		left join family on $in(family) and family.id = p.family_id
		left join version v on $clinic(v) and v.id = p.version_id
		left join recording r on $in(r) and r.id = @id
		left join quarantine q on $clinic(q) and q.account_id = @scope_account and q.id = @id`), in)
	results := tx.tx.SendBatch(ctx, batch)
	if _, err := results.Exec(); err != nil {
		_ = results.Close()
		return DeliveryState{}, translate(err)
	}
	rows, _ := results.Query() // the rows report its error
	row, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByNameLax[deliveryRow])
	if closeErr := results.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		return DeliveryState{}, translate(err)
	}
	return row.arrived(), nil
}

func (row deliveryRow) arrived() DeliveryState {
	a := DeliveryState{Erased: row.Erased, Receipt: row.Receipt, Quarantined: row.Quarantined, People: row.People, Facts: row.facts(), Amendments: amendments(row.AmendedRows)}
	if row.ID != nil {
		a.Before = &recording.Kept{
			ID: *row.ID, FamilyID: *row.RFamily, PlacementID: *row.RPlacement, AuthorID: *row.AuthorID, State: *row.State,
			StartedAt: *row.StartedAt, EndedAt: *row.EndedAt, LocalDate: row.LocalDate, Corrected: *row.Corrected, OddClock: *row.OddClock,
			ReceivedAt: *row.ReceivedAt, ClosedAt: row.ClosedAt, Closed: row.ClosedAt != nil,
		}
	}
	return a
}

// MergedRecording is what SaveRecording writes after a document has been
// merged.
type MergedRecording struct {
	Recording recording.Kept
	Receipt   recording.Receipt
	Rest      *newel.AssignmentID // assignment to pause after the child's no, unless it is finished
	Reading   *newel.Reading      // nil if there is nothing new
}

// SaveRecording writes a recording, the delivery's receipt and the reading, in
// one pipeline. A savepoint guards the reading: if writing it fails, readingErr
// is the reason and the rest is kept.
func (tx *Tx) SaveRecording(ctx context.Context, k MergedRecording) (readingErr, err error) {
	defer wrap(&err, "keep recording %s", k.Recording.ID)
	if err := tx.covers(k.Recording.FamilyID); err != nil {
		return nil, err
	}
	in := recordingArgs(k.Recording)
	in["receipt"], in["sha256"], in["rest"] = k.Receipt, k.Receipt.SHA256, k.Rest
	batch := &pgx.Batch{}
	batch.Queue(tx.sql(`with kept as (
			insert into recording as r (clinic_id, family_id, id, placement_id, author_id, by_id, state, session, closed, void, afterwards,
				distress, needs_person, started_at, ended_at, local_date, corrected, odd_clock, trials, received_at, closed_at)
			values (@scope_clinic, @family, @id, @placement, @author, @by, @state, @session, @closed, @void, @afterwards,
				@distress, @needs_person, @started_at, @ended_at, @local_date, @corrected, @odd_clock, @trials, @received_at, @closed_at)
			on conflict (clinic_id, id) do update set by_id = excluded.by_id, state = excluded.state, session = excluded.session,
				closed = excluded.closed, void = excluded.void, afterwards = excluded.afterwards, distress = excluded.distress,
				needs_person = excluded.needs_person, started_at = excluded.started_at, ended_at = excluded.ended_at,
				local_date = excluded.local_date, corrected = excluded.corrected, odd_clock = excluded.odd_clock,
				trials = excluded.trials, closed_at = excluded.closed_at
			where $in(r) and r.author_id = excluded.author_id and r.placement_id = excluded.placement_id
			returning r.id),
		rested as (
			update assignment a set state = 'resting'
			where $in(a) and a.id = @rest::uuid and a.state in ('active', 'paused') and exists (select from kept)),
		sent as (
			update device d set unsent = array_remove(d.unsent, @id::uuid)
			where $clinic(d) and d.account_id = @scope_account and @closed::boolean and @id::uuid = any (d.unsent) and exists (select from kept))
		insert into delivery (clinic_id, family_id, recording_id, author_id, body_hash, receipt, received_at)
		select @scope_clinic, @family, kept.id, @author, decode(@sha256, 'hex'), @receipt, @now from kept
		on conflict (clinic_id, recording_id, body_hash) do nothing`), tx.with(in))
	if k.Reading != nil {
		batch.Queue(`savepoint reading`)
		batch.Queue(tx.sql(putReading), tx.with(readingArgs(*k.Reading)))
	}
	results := tx.tx.SendBatch(ctx, batch)
	tag, err := results.Exec()
	if err == nil && tag.RowsAffected() == 0 {
		err = newel.ErrNotFound
	}
	if err != nil {
		_ = results.Close()
		return nil, translate(err)
	}
	if readingErr = translate(results.Close()); readingErr == nil || k.Reading == nil {
		return nil, readingErr
	}
	if _, err := tx.tx.Exec(ctx, `rollback to savepoint reading`); err != nil {
		return nil, translate(err)
	}
	return readingErr, nil
}

// Recording returns one recording.
func (tx *Tx) Recording(ctx context.Context, id newel.RecordingID) (_ recording.Kept, err error) {
	defer wrap(&err, "recording %s", id)
	return one[recording.Kept](ctx, tx, `select `+recordingColumns+` from recording r where $in(r) and r.id = @id`, args{"id": id})
}

// LockRecording waits until no other transaction writes the recording or
// evaluates its placement, and locks both.
func (tx *Tx) LockRecording(ctx context.Context, id newel.RecordingID) (err error) {
	defer wrap(&err, "lock recording %s", id)
	row, err := one[struct {
		Locked string
		Found  *bool
	}](ctx, tx, `select pg_advisory_xact_lock(hashtextextended(@id::uuid::text, 1))::text as locked, (select true from (
		select from placement p join recording r on r.clinic_id = p.clinic_id and r.placement_id = p.id
		where $in(p) and $in(r) and r.id = @id for no key update of p) locked) as found`, args{"id": id})
	if err == nil && row.Found == nil {
		return newel.ErrNotFound
	}
	return err
}

// LockPlacement waits until no other transaction evaluates the placement, and
// locks it.
func (tx *Tx) LockPlacement(ctx context.Context, id newel.PlacementID) (err error) {
	defer wrap(&err, "lock placement %s", id)
	_, err = one[struct{ ID newel.PlacementID }](ctx, tx, `select p.id from placement p where $in(p) and p.id = @id for no key update`, args{"id": id})
	return err
}

// Summarise updates a recording's summary after an amendment.
func (tx *Tx) Summarise(ctx context.Context, r recording.Kept) (err error) {
	defer wrap(&err, "summarise %s", r.ID)
	return tx.exec(ctx, `update recording r set by_id = @by, session = @session, void = @void, afterwards = @afterwards, distress = @distress,
		needs_person = @needs_person, trials = @trials where $in(r) and r.id = @id`, recordingArgs(r))
}

// Amend adds an amendment. Amendments never change afterwards.
func (tx *Tx) Amend(ctx context.Context, family newel.FamilyID, id newel.RecordingID, a recording.Amendment) (err error) {
	defer wrap(&err, "amend %s", id)
	if err := tx.covers(family); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into amendment (clinic_id, family_id, id, recording_id, change, reason, made_by, made_at)
		values (@scope_clinic, @family, @id, @recording, @change, @reason, @author, @at)`,
		args{"family": family, "id": a.ID, "recording": id, "change": a.Change, "reason": a.Reason, "author": a.Author, "at": a.At})
}

// amendmentRow is an amendment as stored.
type amendmentRow struct {
	ID     newel.AmendmentID `json:"id"`
	Author newel.AccountID   `json:"author"`
	At     time.Time         `json:"at"`
	Reason string            `json:"reason"`
	Change recording.Change  `json:"change"`
}

// Amendments lists the amendments of a recording, oldest first.
func (tx *Tx) Amendments(ctx context.Context, id newel.RecordingID) (_ []recording.Amendment, err error) {
	defer wrap(&err, "amendments of %s", id)
	rows, err := many[amendmentRow](ctx, tx, `select m.id, m.made_by as author, m.made_at as at, m.reason, m.change from amendment m
		where $in(m) and m.recording_id = @id order by m.made_at, m.id`, args{"id": id})
	return amendments(rows), err
}

func amendments(rows []amendmentRow) []recording.Amendment {
	var out []recording.Amendment
	for _, r := range rows {
		out = append(out, recording.Amendment{ID: r.ID, Author: r.Author, At: r.At, Reason: r.Reason, Change: r.Change})
	}
	return out
}

// Overlapping lists other sessions with the same learner that overlap in time:
// perhaps the same session, recorded by two phones.
func (tx *Tx) Overlapping(ctx context.Context, id newel.RecordingID) (_ []newel.RecordingID, err error) {
	defer wrap(&err, "overlapping %s", id)
	rows, err := many[struct{ ID newel.RecordingID }](ctx, tx, `select o.id from recording r
		join placement rp on rp.clinic_id = r.clinic_id and rp.family_id = r.family_id and rp.id = r.placement_id
		join assignment ra on ra.clinic_id = rp.clinic_id and ra.family_id = rp.family_id and ra.id = rp.assignment_id
		join assignment oa on oa.clinic_id = ra.clinic_id and oa.family_id = ra.family_id and oa.learner_id = ra.learner_id
		join placement op on op.clinic_id = oa.clinic_id and op.family_id = oa.family_id and op.assignment_id = oa.id
		join recording o on o.clinic_id = op.clinic_id and o.family_id = op.family_id and o.placement_id = op.id
		where $in(r) and $in(o) and r.id = @id and o.id <> r.id and r.closed and o.closed and not r.void and not o.void
			and o.started_at < r.ended_at and r.started_at < o.ended_at
		order by o.started_at, o.id`, args{"id": id})
	ids := make([]newel.RecordingID, len(rows))
	for i, row := range rows {
		ids[i] = row.ID
	}
	return ids, err
}

// Twins are two recordings of the same session.
type Twins struct{ First, Second newel.RecordingID }

// Twins lists the newest sessions of a placement that two accounts recorded at
// overlapping times, up to the limit, newest first; only those of one recording
// unless its id is zero. It includes those of which one recording was excluded
// later.
func (tx *Tx) Twins(ctx context.Context, placement newel.PlacementID, only newel.RecordingID, limit int) (_ []Twins, err error) {
	defer wrap(&err, "twins of %s", placement)
	return many[Twins](ctx, tx, `select r.id as first, o.id as second from recording r
		join recording o on o.clinic_id = r.clinic_id and o.family_id = r.family_id and o.placement_id = r.placement_id and o.author_id <> r.author_id
		where $in(r) and $in(o) and r.placement_id = @placement and r.closed and o.closed
			and o.started_at < r.ended_at and r.started_at < o.ended_at and (r.started_at, r.id) < (o.started_at, o.id)
			and (@all::boolean or @only in (r.id, o.id))
		order by r.started_at desc, r.id desc limit @limit`, args{"placement": placement, "only": only, "all": only.IsZero(), "limit": limit})
}

// AccountNames returns the names of those accounts that the scope may see.
func (tx *Tx) AccountNames(ctx context.Context, ids []newel.AccountID) (_ map[newel.AccountID]string, err error) {
	defer wrap(&err, "account names")
	rows, err := many[struct {
		ID   newel.AccountID
		Name string
	}](ctx, tx, `select a.id, a.name from account a
		where $clinic(a) and a.id = any (@ids::uuid[]) and (@scope_staff::boolean or a.id = @scope_account
			or exists (select from caseload l where $in(l) and l.account_id = a.id))`, args{"ids": texts(ids)})
	names := make(map[newel.AccountID]string, len(rows))
	for _, r := range rows {
		names[r.ID] = r.Name
	}
	return names, err
}
