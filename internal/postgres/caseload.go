package postgres

import (
	"context"

	"newel/internal/newel"
	"newel/internal/program"
)

// CaseloadRows lists every open placement in the scope, with a summary of its
// reading and the latest decision on it. It loads no recordings, and nothing
// that only displayed rows need.
func (tx *Tx) CaseloadRows(ctx context.Context) (_ []newel.CaseloadRow, err error) {
	defer wrap(&err, "caseload rows")
	return many[newel.CaseloadRow](ctx, tx, caseloadRows+` order by l.nickname, l.id, g.title, s.place`, nil)
}

// CaseloadRow returns one open placement as a caseload row.
func (tx *Tx) CaseloadRow(ctx context.Context, id newel.PlacementID) (_ newel.CaseloadRow, err error) {
	defer wrap(&err, "caseload row %s", id)
	return one[newel.CaseloadRow](ctx, tx, caseloadRows+` and p.id = @id`, args{"id": id})
}

var caseloadRows = `select p.id as placement_id, p.assignment_id, p.version_id, p.family_id, a.learner_id, a.program_id,
			coalesce((l.care ->> 'touch_allowed')::boolean, false) as touch_allowed, false as nobody_here, false as nobody_next,
			l.nickname as learner, f.name as family, f.time_zone, g.title as program, a.state,
			p.step_key, p.strand_key, s.label as step_label, s.name as step_name, s.role, p.began_at, p.began_on, v.number, v.own, coalesce(w.newest, 0) as newest,
			r.gist, r.idle_from, coalesce(r.stale, false) as stale, coalesce(r.by_rule, false) as by_rule,
			coalesce(r.waiting, 0) as with_surplus, coalesce(h.quarantined, 0) as quarantined, x.late,
			d.id as decision_id, coalesce(d.kind, '') as decision_kind, d.decided_at, d.answered, coalesce(d.close_seen, false) as close_seen, y.due,
			case when d.kind = 'pause' or not exists (select from verdict m where $in(m) and m.decision_id = d.id and ` + settled("m", "d", "f") + `) then d.expected_by end as look_again,
			case when p.criterion ~ '(a response|steady again) within' then jsonb_path_exists(v.document,
				'$.strands[*].steps[*] ? (@.key == $key && @.measure == "trials")', jsonb_build_object('key', p.step_key)) else false end as unrecorded,
			(select count(*) from unnest(u.at) t where t > coalesce(d.decided_at, '-infinity')) as answers
		from placement p
		join assignment a on a.clinic_id = p.clinic_id and a.id = p.assignment_id
		join learner l on l.clinic_id = p.clinic_id and l.id = a.learner_id
		join family f on f.clinic_id = p.clinic_id and f.id = p.family_id
		join program g on g.clinic_id = p.clinic_id and g.id = a.program_id
		join version v on v.clinic_id = p.clinic_id and v.id = p.version_id
		join step s on s.clinic_id = p.clinic_id and s.version_id = p.version_id and s.key = p.step_key
		left join (select program_id, max(number) as newest from version where $clinic(version) and not own group by 1) w on w.program_id = a.program_id
		left join reading r on r.clinic_id = p.clinic_id and r.placement_id = p.id
		left join lateral (
			select id, kind, decided_at, answered, expected_by,
				coalesce(bool_or(answered @> '{"flags": [{"kind": "close"}]}') over (), false) as close_seen
			from decision d
			where d.clinic_id = p.clinic_id and d.family_id = p.family_id and d.placement_id = p.id
			order by decided_at desc, id desc limit 1) d on true
		left join (select q.placement_id, count(*) as quarantined from quarantine q
			where $clinic(q) and q.settled_at is null group by 1) h on h.placement_id = p.id
		left join (select lp.assignment_id, lp.strand_key, (array_agg(lr.late order by lr.late_at desc))[1] as late
			from reading lr join placement lp on lp.clinic_id = lr.clinic_id and lp.family_id = lr.family_id and lp.id = lr.placement_id
			where $in(lr) and $in(lp) and lr.late_at is not null group by 1, 2) x on x.assignment_id = p.assignment_id and x.strand_key = p.strand_key
		left join (select q.placement_id, array_agg(q.answered_at) as at from question q
			where $in(q) and q.answered_at is not null group by 1) u on u.placement_id = p.id
		left join (select ep.assignment_id, ep.strand_key,
				(array_agg(jsonb_build_object('decision', e.id, 'text', e.expected, 'by', e.expected_by) order by e.expected_by desc, e.decided_at desc))[1] as due
			from decision e
			join placement ep on ep.clinic_id = e.clinic_id and ep.family_id = e.family_id and ep.id = coalesce(e.next_placement_id, e.placement_id)
			join family ef on ef.clinic_id = e.clinic_id and ef.id = e.family_id
			where $in(e) and $in(ep) and e.expected <> '' and e.expected_by <= (@now::timestamptz at time zone ef.time_zone)::date
				and not exists (select from verdict m where $in(m) and m.decision_id = e.id and ` + settled("m", "e", "ef") + `)
			group by 1, 2) y on y.assignment_id = p.assignment_id and y.strand_key = p.strand_key
		where $in(p) and p.ended_at is null and a.state <> 'finished'`

// settled is the SQL condition that a verdict settles a decision: the expected
// outcome came or did not come, or was reported as not yet on or after the
// expected day.
func settled(verdict, decision, family string) string {
	return `(` + verdict + `.came <> 'not_yet' or (` + verdict + `.given_at at time zone ` + family + `.time_zone)::date >= ` + decision + `.expected_by)`
}

// CaseloadDetails returns what displayed rows need in addition.
func (tx *Tx) CaseloadDetails(ctx context.Context, placements []newel.PlacementID) (_ []program.CaseloadDetail, err error) {
	defer wrap(&err, "details of caseload rows")
	return many[program.CaseloadDetail](ctx, tx, `
		select p.id as placement_id, p.criterion, v.help_levels, r.body, r.latest, p.planned_help as planned,
			(select jsonb_object_agg(n.id, n.name) from person n where $in(n) and n.family_id = p.family_id) as people,
			v.document -> 'prerequisites' as prerequisites, v.document -> 'needs' as needs,
			(select jsonb_object_agg(m.folded, k.status) from (
				select distinct on (n.skill_id) n.clinic_id, n.skill_id, n.status from skill_note n
				where $in(n) and $staff(n) and n.family_id = a.family_id and n.learner_id = a.learner_id
				order by n.skill_id, n.noted_on desc, n.recorded_at desc, n.id desc) k
				join skill_name m on m.clinic_id = k.clinic_id and m.skill_id = k.skill_id) as skills, coalesce(v.document ->> 'reinforcing', '') as reinforcing,
			case when r.body -> 'targets' is not null then jsonb_path_query_array(v.document, '$.strands[*].steps[*] ? (@.key == $key).targets[*]',
				jsonb_build_object('key', p.step_key)) end as targets,
			(select jsonb_build_object('person', n.name, 'taught_on', y.taught_on, 'points', y.points)
				from placement yp
				join fidelity y on y.clinic_id = yp.clinic_id and y.family_id = yp.family_id and y.placement_id = yp.id
				join person n on n.clinic_id = y.clinic_id and n.family_id = y.family_id and n.id = y.person_id
				where $in(yp) and $in(y) and $staff(y) and yp.assignment_id = p.assignment_id and y.withdrawn_at is null
				order by y.taught_on desc, y.noted_at desc, y.id desc limit 1) as fidelity,
			case when a.state = 'resting' then `+saidOf+` end as said
		from placement p
		join assignment a on a.clinic_id = p.clinic_id and a.family_id = p.family_id and a.id = p.assignment_id
		join version v on v.clinic_id = p.clinic_id and v.id = p.version_id
		left join reading r on r.clinic_id = p.clinic_id and r.placement_id = p.id
		where $in(p) and $clinic(v) and p.id = any (@placements::uuid[])`, args{"placements": texts(placements)})
}

// CaseloadContext returns what a caseload needs besides its rows.
func (tx *Tx) CaseloadContext(ctx context.Context) (_ newel.CaseloadContext, err error) {
	defer wrap(&err, "around the caseload")
	return one[newel.CaseloadContext](ctx, tx, `
		select c.time_zone,
			(select jsonb_agg(jsonb_build_object('family', k.family_id, 'account', k.account_id, 'name', a.name) order by a.name, k.account_id)
				from caseload k join account a on a.clinic_id = k.clinic_id and a.id = k.account_id where $in(k)) as looking,
			(select jsonb_object_agg(u.family_id, u.n) from (
				select n.family_id, sum(cardinality(d.unsent)) as n from device d
				join person n on n.clinic_id = d.clinic_id and n.account_id = d.account_id
				where $clinic(d) and $in(n) and @scope_staff::boolean and cardinality(d.unsent) > 0 group by 1) u) as unsent,
			(select count(*) from incident i where $in(i) and @scope_staff::boolean and i.settled_at is null) as happened,
			(select count(*) from agreed_action x where $in(x) and @scope_staff::boolean and x.outcome is null and x.whose = 'clinic') as agreed,
			(select jsonb_agg(jsonb_build_object('family', m.family_id, 'name', f.name, 'n', m.n, 'text', m.text, 'who', coalesce(p.name, ''), 'at', m.written_at) order by m.written_at, m.family_id)
				from (select distinct on (w.family_id) w.*, count(*) over (partition by w.family_id) as n from message w
					where $in(w) and @scope_staff::boolean and not w.from_clinic and w.read_at is null order by w.family_id, w.written_at, w.id) m
				join family f on f.clinic_id = m.clinic_id and f.id = m.family_id
				left join person p on p.clinic_id = m.clinic_id and p.family_id = m.family_id and p.account_id = m.written_by) as unread
,
			(select jsonb_agg(jsonb_build_object('version', v.id, 'document', jsonb_build_object('help_levels', v.document -> 'help_levels', 'strands',
				(select jsonb_agg(jsonb_build_object('key', t -> 'key', 'steps', (select jsonb_agg(jsonb_build_object('key', s -> 'key', 'label', s -> 'label',
					'start_from', coalesce(s -> 'start_from', '""'), 'coping', coalesce(s -> 'coping', 'false'), 'food_reward', coalesce(s -> 'food_reward', 'false')) order by n)
					from jsonb_array_elements(t -> 'steps') with ordinality as steps(s, n))) order by m)
				from jsonb_array_elements(v.document -> 'strands') with ordinality as strands(t, m)))))
				from version v where $clinic(v) and @scope_staff::boolean
					and v.id in (select p.version_id from placement p where $in(p) and p.ended_at is null)) as starts,
			(select jsonb_agg(jsonb_build_object('family', n.family_id, 'account', n.account_id, 'states', coalesce(
				(select jsonb_object_agg(x.program_id, x.state) from (select distinct on (t.program_id) t.program_id, t.state from training t
					where $in(t) and t.person_id = n.id order by t.program_id, t.set_at desc, t.id desc) x), '{}')))
				from person n where $in(n) and @scope_staff::boolean) as trained
		from clinic c where c.id = @scope_clinic`, nil)
}
