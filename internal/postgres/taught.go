package postgres

import (
	"context"
	"maps"

	"newel/internal/newel"
	"newel/internal/reading"
)

// toldDays is how many days a phone shows what a decision tells the family.
const toldDays = 14

// consented is the condition that teaching and recording are both agreed to.
const consented = ` and exists (select from consent k where $in(k) and k.learner_id = l.id and k.kind = 'teaching' and k.withdrawn_on is null)
		and exists (select from consent k where $in(k) and k.learner_id = l.id and k.kind = 'recording' and k.withdrawn_on is null)`

const taughtColumns = `select p.id as placement_id, p.family_id, p.assignment_id, s.program_id, p.version_id, s.state, p.step_key, p.strand_key, p.planned_help,
		p.criterion, p.began_on, p.ended_at, l.id as learner_id, l.nickname, l.care, family.time_zone, family.language, v.document, s.overrides,
		last.local_date as last_on, last.ended_at as last_ended_at, coalesce(latest.kind, '') as last_decision, latest.expected_by as until,
		case when s.state = 'resting' then ` + saidOf + ` end as said, lifted.decision as lifted,
		coalesce(told.for_family, '') as note, coalesce(told.by, '') as note_by, (told.decided_at at time zone family.time_zone)::date as note_on,
		array(select m ->> 'target' from jsonb_array_elements(g.body -> 'targets') m where m ->> 'state' = 'met') as met
	from placement p
	join assignment s on $in(s) and s.id = p.assignment_id
	join learner l on $in(l) and l.id = s.learner_id
	join family on $in(family) and family.id = p.family_id
	join version v on $clinic(v) and v.id = p.version_id
	left join reading g on $in(g) and g.placement_id = p.id
	left join lateral (select r.local_date, r.ended_at from recording r where $in(r) and r.placement_id = p.id and r.closed and not r.void
		order by r.ended_at desc limit 1) last on true
	left join lateral (select x.kind, x.expected_by from decision x where $in(x) and x.placement_id = p.id
		order by x.decided_at desc, x.id desc limit 1) latest on true
	left join lateral (select jsonb_build_object('line', x.reason, 'by', coalesce(xa.name, ''), 'agreed_on', x.agreed_on, 'at', x.decided_at) as decision
		from decision x join placement xp on xp.clinic_id = x.clinic_id and xp.id = x.placement_id left join account xa on $clinic(xa) and xa.id = x.decided_by
		where $in(x) and $in(xp) and x.kind = 'lift' and xp.assignment_id = p.assignment_id and s.state = 'active' and x.decided_at > @lifted_since
		order by x.decided_at desc, x.id desc limit 1) lifted on true
	left join lateral (select x.for_family, coalesce(xa.name, '') as by, x.decided_at
		from decision x join placement xp on xp.clinic_id = x.clinic_id and xp.id = x.placement_id left join account xa on $clinic(xa) and xa.id = x.decided_by
		where $in(x) and $in(xp) and xp.assignment_id = p.assignment_id and xp.strand_key = p.strand_key and x.for_family <> '' and x.decided_at > @told_since
		order by x.decided_at desc, x.id desc limit 1) told on true
	where $in(p)`

// TaughtNow lists what is being taught or is paused, by learner and then least
// recently taught first. Nothing is taught without consent to both teaching and
// recording.
func (tx *Tx) TaughtNow(ctx context.Context) (_ []reading.Taught, err error) {
	defer wrap(&err, "taught now")
	return many[reading.Taught](ctx, tx, taughtColumns+consented+` and p.ended_at is null and s.state in ('active', 'resting')
		order by l.nickname, l.id, last.ended_at nulls first, p.began_at, p.id`, tx.taughtArgs(nil))
}

// TaughtAt returns one placement, even if it has ended.
func (tx *Tx) TaughtAt(ctx context.Context, placement newel.PlacementID) (_ reading.Taught, err error) {
	defer wrap(&err, "taught at %s", placement)
	return one[reading.Taught](ctx, tx, taughtColumns+` and p.id = @placement`, tx.taughtArgs(args{"placement": placement}))
}

func (tx *Tx) taughtArgs(a args) args {
	all := args{"lifted_since": tx.Now().AddDate(0, 0, -reading.LiftedDays), "told_since": tx.Now().AddDate(0, 0, -toldDays)}
	maps.Copy(all, a)
	return all
}
