package postgres

import (
	"context"

	"newel/internal/newel"
)

// CaseloadRows lists every open placement in the scope, with its reading and
// the latest decision on it. No recording is opened for it.
func (tx *Tx) CaseloadRows(ctx context.Context) (_ []newel.CaseloadRow, err error) {
	defer wrap(&err, "caseload rows")
	return many[newel.CaseloadRow](ctx, tx, `
		select p.id as placement_id, p.assignment_id, p.version_id, p.family_id, a.learner_id, a.program_id,
			l.nickname as learner, f.name as family, f.time_zone, g.title as program, a.state,
			p.step_key, p.strand_key, s.label as step_label, s.name as step_name, s.role, p.criterion, p.began_on, v.help_levels,
			r.as_of, coalesce(r.status, '') as status, r.body, r.idle_from, coalesce(r.stale, false) as stale,
			exists (select from recording n where n.clinic_id = p.clinic_id and n.family_id = p.family_id
				and n.placement_id = p.id and n.needs_person) as needs_person,
			d.id as decision_id, coalesce(d.kind, '') as decision_kind, d.decided_at, d.reading as decided_on, d.expected_by as look_again
		from placement p
		join assignment a on a.clinic_id = p.clinic_id and a.id = p.assignment_id
		join learner l on l.clinic_id = p.clinic_id and l.id = a.learner_id
		join family f on f.clinic_id = p.clinic_id and f.id = p.family_id
		join program g on g.clinic_id = p.clinic_id and g.id = a.program_id
		join version v on v.clinic_id = p.clinic_id and v.id = p.version_id
		join step s on s.clinic_id = p.clinic_id and s.version_id = p.version_id and s.key = p.step_key
		left join reading r on r.clinic_id = p.clinic_id and r.placement_id = p.id
		left join lateral (
			select id, kind, decided_at, reading, expected_by from decision d
			where d.clinic_id = p.clinic_id and d.family_id = p.family_id and d.placement_id = p.id
			order by decided_at desc, id desc limit 1) d on true
		where $in(p) and p.ended_at is null and a.state <> 'finished'
		order by l.nickname, l.id, g.title, s.place`, nil)
}

// LatestSessions lists the newest closed recordings of some placements, up to
// the limit for each, oldest first.
func (tx *Tx) LatestSessions(ctx context.Context, placements []newel.PlacementID, limit int) (_ []newel.SessionRow, err error) {
	defer wrap(&err, "latest sessions of placements")
	return many[newel.SessionRow](ctx, tx, `
		select r.id, p.id as placement_id, r.session, r.local_date, r.ended_at, r.void, r.afterwards, r.needs_person, r.by_name
		from placement p
		cross join lateral (
			select r.id, r.session, r.local_date, r.ended_at, r.void, r.afterwards, r.needs_person, coalesce(n.name, '') as by_name
			from recording r
			left join person n on n.clinic_id = r.clinic_id and n.family_id = r.family_id and n.id = r.by_id
			where r.clinic_id = p.clinic_id and r.family_id = p.family_id and r.placement_id = p.id
				and r.closed and r.session is not null
			order by r.ended_at desc, r.id desc limit @limit) r
		where $in(p) and p.id = any (@placements::uuid[])
		order by p.id, r.ended_at, r.id`, args{"placements": texts(placements), "limit": limit})
}
