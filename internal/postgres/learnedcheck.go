package postgres

import (
	"context"

	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
)

// learnedChecks selects the steps that learners left by an advance and that
// their programs check, with the latest check of each. Left out are steps that
// are taught again, because the learner went back to them or the program was
// assigned again, and those of programs that are paused or were ended early.
const learnedChecks = `with weeks as materialized (
		select v.clinic_id, v.id, v.document -> 'maintenance_weeks' as weeks from version v
		where $clinic(v) and exists (select from placement p where $in(p) and p.version_id = v.id and p.ended_at is not null))
	select p.id as placement_id, p.assignment_id, p.family_id, a.learner_id, a.program_id, l.nickname as learner, family.name as family, family.time_zone,
		g.title as program, s.role, s.label as step_label, s.name as step_name, w.weeks, r.gist,
		(d.decided_at at time zone family.time_zone)::date as learned_on, c.local_date as checked_on, coalesce(c.distress, false) as checked_no,
		coalesce(n.kind, '') as planned, (n.planned_at at time zone family.time_zone)::date as planned_on,
		n.planned_at is not null and coalesce(c.started_at < n.planned_at, true) as plan_open
	from decision d
	join placement p on $in(p) and p.id = d.placement_id
	join assignment a on $in(a) and a.id = p.assignment_id
	join learner l on $in(l) and l.id = a.learner_id
	join family on $in(family) and family.id = p.family_id
	join program g on $clinic(g) and g.id = a.program_id
	join step s on s.clinic_id = p.clinic_id and s.version_id = p.version_id and s.key = p.step_key
	join weeks w on w.clinic_id = p.clinic_id and w.id = p.version_id
	left join reading r on $in(r) and r.placement_id = p.id
	left join lateral (select x.local_date, x.distress, x.started_at from recording x
		where $in(x) and x.placement_id = p.id and x.closed and not x.void and x.ended_at > d.decided_at and x.session ->> 'kind' = 'maintenance'
		order by x.ended_at desc, x.id desc limit 1) c on true
	left join lateral (select y.kind, y.planned_at from planned_session y
		where $in(y) and y.placement_id = p.id order by y.planned_at desc, y.id desc limit 1) n on true
	where $in(d) and d.kind = 'advance' and a.state in ('active', 'finished')
		and not (a.state = 'finished' and exists (select from decision e join placement ep on $in(ep) and ep.id = e.placement_id
			where $in(e) and ep.assignment_id = a.id and e.kind = 'finish'))
		and not exists (select from assignment b where $in(b) and b.learner_id = a.learner_id and b.program_id = a.program_id and b.created_at > a.created_at)
		and not exists (select from placement q
			join step qs on qs.clinic_id = q.clinic_id and qs.version_id = q.version_id and qs.key = q.step_key
			join step ps on ps.clinic_id = q.clinic_id and ps.version_id = q.version_id and ps.key = p.step_key
			where $in(q) and q.assignment_id = p.assignment_id and q.strand_key = p.strand_key and q.began_at >= p.ended_at and q.id <> p.id and qs.place <= ps.place)`

// LearnedCheck returns one learned step, or ErrNotFound if it is not checked: it
// is taught now, or again, or was never learned.
func (tx *Tx) LearnedCheck(ctx context.Context, placement newel.PlacementID) (_ newel.LearnedCheck, err error) {
	defer wrap(&err, "check of %s", placement)
	return one[newel.LearnedCheck](ctx, tx, learnedChecks+` and p.id = @placement`, args{"placement": placement})
}

// LearnedChecks lists the learned steps in scope with what decides when they
// are checked, by learner and then in the order in which they were learned.
func (tx *Tx) LearnedChecks(ctx context.Context) (_ []newel.LearnedCheck, err error) {
	defer wrap(&err, "checks of learned steps")
	return many[newel.LearnedCheck](ctx, tx, learnedChecks+` order by l.nickname, l.id, d.decided_at, p.id`, nil)
}

// TaughtIn lists placements as TaughtAt does, in the order in which they began.
// It leaves out learners without consent to both teaching and recording.
func (tx *Tx) TaughtIn(ctx context.Context, placements []newel.PlacementID) (_ []reading.Taught, err error) {
	defer wrap(&err, "taught in %d placements", len(placements))
	return many[reading.Taught](ctx, tx, taughtColumns+consented+` and p.id = any (@placements::uuid[]) order by p.began_at, p.id`, args{"placements": texts(placements)})
}

// SessionTally is the tally of one placement.
type SessionTally struct {
	PlacementID newel.PlacementID
	program.SessionTally
}

// SessionTallies counts the sessions of placements that decide which kind the
// next one is. It lists no placement without sessions.
func (tx *Tx) SessionTallies(ctx context.Context, placements []newel.PlacementID) (_ []SessionTally, err error) {
	defer wrap(&err, "session tallies of %d placements", len(placements))
	return many[SessionTally](ctx, tx, `
		select placement_id, count(*) filter (where kind = 'baseline') as baselines,
			count(*) filter (where kind = 'teaching' and probes = 0) as since_probe
		from (select r.placement_id, coalesce(nullif(r.session ->> 'kind', ''), 'teaching') as kind,
				count(*) filter (where r.session ->> 'kind' = 'probe') over (partition by r.placement_id order by r.ended_at desc, r.id desc) as probes
			from recording r
			where $in(r) and r.placement_id = any (@placements::uuid[]) and r.closed and not r.void and not r.distress and r.session is not null) of_kind
		group by placement_id order by placement_id`, args{"placements": texts(placements)})
}
