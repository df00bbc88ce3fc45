package postgres

import (
	"context"

	"newel/internal/newel"
)

// LearnerSessions lists the closed sessions with a learner since a day, oldest
// first: the newest of them, up to the limit.
func (tx *Tx) LearnerSessions(ctx context.Context, learner newel.LearnerID, since newel.Day, limit int) (_ []newel.WeekSession, err error) {
	defer wrap(&err, "sessions with learner %s", learner)
	return many[newel.WeekSession](ctx, tx, `
		select * from (
			select r.id, r.placement_id, r.session, r.local_date, r.ended_at, r.void, r.afterwards, r.needs_person, coalesce(n.name, '') as by_name,
				p.assignment_id, p.criterion, v.help_levels, s.role, s.label as step_label, s.name as step_name
			from assignment a
			join placement p on p.clinic_id = a.clinic_id and p.assignment_id = a.id
			join recording r on r.clinic_id = p.clinic_id and r.family_id = p.family_id and r.placement_id = p.id
			join version v on v.clinic_id = p.clinic_id and v.id = p.version_id
			join step s on s.clinic_id = p.clinic_id and s.version_id = p.version_id and s.key = p.step_key
			left join person n on n.clinic_id = r.clinic_id and n.family_id = r.family_id and n.id = r.by_id
			where $in(a) and $in(p) and $in(r) and a.learner_id = @learner and r.closed and not r.void and r.session is not null
				and r.local_date >= @since
			order by r.ended_at desc, r.id desc limit @limit) newest
		order by ended_at, id`, args{"learner": learner, "since": since, "limit": limit})
}
