package postgres

import (
	"context"

	"newel/internal/newel"
)

const talkColumns = `select t.id, t.family_id, t.assignment_id as assignment, t.made_by, coalesce(n.name, '') as made_by_name, t.line, t.talked_at, t.rests, t.lifted
	from talk t
	left join person n on n.clinic_id = t.clinic_id and n.family_id = t.family_id and n.account_id = t.made_by
	where $in(t)`

// Talk returns a talk recorded earlier.
func (tx *Tx) Talk(ctx context.Context, id newel.TalkID) (_ newel.Talk, err error) {
	defer wrap(&err, "talk %s", id)
	return one[newel.Talk](ctx, tx, talkColumns+` and t.id = @id`, args{"id": id})
}

// Talks lists what the family said about an assignment, newest first.
func (tx *Tx) Talks(ctx context.Context, assignment newel.AssignmentID) (_ []newel.Talk, err error) {
	defer wrap(&err, "talks about assignment %s", assignment)
	return many[newel.Talk](ctx, tx, talkColumns+` and t.assignment_id = @assignment order by t.talked_at desc, t.id desc`, args{"assignment": assignment})
}

// AddTalk records a talk by the scope's own account. It returns ErrConflict if
// the id exists.
func (tx *Tx) AddTalk(ctx context.Context, t newel.Talk) (err error) {
	defer wrap(&err, "add talk %s", t.ID)
	if err := tx.covers(t.FamilyID); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into talk (clinic_id, family_id, id, assignment_id, made_by, line, talked_at, rests, received_at)
		values (@scope_clinic, @family, @id, @assignment, @scope_account, @line, @at, @rests, @now)`,
		args{"family": t.FamilyID, "id": t.ID, "assignment": t.Assignment, "line": t.Line, "at": t.TalkedAt, "rests": t.Rests})
}

// saidOf is the SQL of what the family said about an assignment since its last
// pause was lifted, oldest first.
const saidOf = `(select jsonb_agg(jsonb_build_object('line', t.line, 'by', coalesce(n.name, ''), 'at', t.talked_at) order by t.talked_at, t.id)
		from talk t
		left join person n on n.clinic_id = t.clinic_id and n.family_id = t.family_id and n.account_id = t.made_by
		where $in(t) and not t.lifted and t.assignment_id = p.assignment_id
			and t.talked_at > greatest('-infinity', (select max(o.talked_at) from talk o where $in(o) and o.lifted and o.assignment_id = p.assignment_id),
				(select max(x.decided_at) from decision x join placement xp on xp.clinic_id = x.clinic_id and xp.family_id = x.family_id and xp.id = x.placement_id
					where $in(x) and $in(xp) and x.kind = 'lift' and xp.assignment_id = p.assignment_id)))`

// LastNo returns the latest session of an assignment that was ended because of
// distress.
func (tx *Tx) LastNo(ctx context.Context, assignment newel.AssignmentID) (_ newel.LastNo, err error) {
	defer wrap(&err, "last no of %s", assignment)
	return one[newel.LastNo](ctx, tx, `select max(r.ended_at) as at, (array_agg(r.id order by r.closed_at desc, r.id desc))[1] as newest from recording r
		join placement p on p.clinic_id = r.clinic_id and p.family_id = r.family_id and p.id = r.placement_id
		where $in(r) and $in(p) and p.assignment_id = @assignment and r.closed and r.distress`, args{"assignment": assignment})
}
