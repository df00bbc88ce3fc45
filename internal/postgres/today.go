package postgres

import (
	"context"

	"newel/internal/newel"
	"newel/internal/reading"
)

// maxFinished limits how many finished programs a phone lists for one family.
const maxFinished = 40

// TaughtBesides lists what is not taught now: the open placements of paused
// programs, and the last placement of each finished one, by learner and newest
// first.
func (tx *Tx) TaughtBesides(ctx context.Context) (_ []reading.Taught, err error) {
	defer wrap(&err, "taught besides")
	return many[reading.Taught](ctx, tx, taughtColumns+consented+` and (s.state = 'paused' and p.ended_at is null
			or s.state = 'finished' and p.id = (select z.id from placement z where $in(z) and z.assignment_id = s.id order by z.ended_at desc, z.began_at desc, z.id desc limit 1))
		order by l.nickname, l.id, p.ended_at desc nulls first, p.began_at, p.id limit @most`, args{"most": maxFinished})
}

const daySessionColumns = `r.id, a.learner_id, p.assignment_id, r.placement_id, v.document ->> 'title' as program, s.role, s.name as step_name, v.help_levels,
		coalesce(r.session, '{}') as session, r.by_id as by, coalesce(n.name, '') as by_name, r.started_at, r.ended_at, r.local_date, r.closed, r.afterwards, r.distress, r.trials
	from placement p
	join assignment a on $in(a) and a.id = p.assignment_id
	join family on $in(family) and family.id = p.family_id
	join version v on $clinic(v) and v.id = p.version_id
	join step s on s.clinic_id = p.clinic_id and s.version_id = p.version_id and s.key = p.step_key`

// SessionsToday lists the sessions that count for today in each family's zone,
// oldest first. It includes open ones.
func (tx *Tx) SessionsToday(ctx context.Context) (_ []newel.DaySession, err error) {
	defer wrap(&err, "sessions today")
	return many[newel.DaySession](ctx, tx, `select `+daySessionColumns+`
	join recording r on $in(r) and r.placement_id = p.id
	left join person n on $in(n) and n.id = r.by_id
	where $in(p) and not r.void and r.ended_at > @now::timestamptz - interval '3 days' and r.local_date = (@now::timestamptz at time zone family.time_zone)::date
	order by r.ended_at, r.id`, nil)
}

// How many of a step's first and last sessions EarlyAndLate returns.
const (
	early = 3
	late  = 5
)

// EarlyAndLate lists the first and the last closed teaching sessions on each step
// that is being taught, oldest first.
func (tx *Tx) EarlyAndLate(ctx context.Context) (_ []newel.DaySession, err error) {
	defer wrap(&err, "early and late sessions")
	return many[newel.DaySession](ctx, tx, `select `+daySessionColumns+`
	cross join lateral (
		(select x.id from recording x where $in(x) and x.placement_id = p.id and x.closed and not x.void and not x.distress and x.session is not null order by x.ended_at, x.id limit @early)
		union
		(select x.id from recording x where $in(x) and x.placement_id = p.id and x.closed and not x.void and not x.distress and x.session is not null order by x.ended_at desc, x.id desc limit @late)) e
	join recording r on $in(r) and r.id = e.id
	left join person n on $in(n) and n.id = r.by_id
	where $in(p) and p.ended_at is null and a.state = 'active'
	order by r.ended_at, r.id`, args{"early": early, "late": late})
}

// LearnedLately lists the last two steps that each learner left by an advance,
// oldest first.
func (tx *Tx) LearnedLately(ctx context.Context) (_ []newel.LearnedStep, err error) {
	defer wrap(&err, "learned lately")
	return many[newel.LearnedStep](ctx, tx, `
		select learner_id, program, step_name, "on" from (
			select a.learner_id, v.document ->> 'title' as program, s.name as step_name, (d.decided_at at time zone family.time_zone)::date as "on", d.decided_at,
				row_number() over (partition by a.learner_id order by d.decided_at desc, d.id desc) as nth
			from decision d
			join placement p on $in(p) and p.id = d.placement_id
			join assignment a on $in(a) and a.id = p.assignment_id
			join family on $in(family) and family.id = p.family_id
			join version v on $clinic(v) and v.id = p.version_id
			join step s on s.clinic_id = p.clinic_id and s.version_id = p.version_id and s.key = p.step_key
			where $in(d) and d.kind = 'advance') newest
		where nth <= 2 order by learner_id, decided_at`, nil)
}
