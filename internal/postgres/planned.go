package postgres

import (
	"context"
	"errors"

	"newel/internal/newel"
)

// AddPlanned stores what the scope's own account plans for the next session of
// a placement.
func (tx *Tx) AddPlanned(ctx context.Context, p newel.PlannedSession) (err error) {
	defer wrap(&err, "plan %s of %s", p.Kind, p.PlacementID)
	if err := errors.Join(tx.staff(), tx.covers(p.FamilyID)); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into planned_session (clinic_id, family_id, id, placement_id, kind, planned_by, planned_at)
		values (@scope_clinic, @family, @id, @placement, @kind, @scope_account, @now)`,
		args{"family": p.FamilyID, "id": p.ID, "placement": p.PlacementID, "kind": p.Kind})
}

const plannedColumns = `n.id, n.family_id, n.placement_id, n.kind, coalesce(a.name, '') as planned_by_name, n.planned_at`

// Planned lists everything that was planned for a placement, newest first.
func (tx *Tx) Planned(ctx context.Context, placement newel.PlacementID) (_ []newel.PlannedSession, err error) {
	defer wrap(&err, "plans of %s", placement)
	return many[newel.PlannedSession](ctx, tx, `select `+plannedColumns+` from planned_session n
		left join account a on a.clinic_id = n.clinic_id and a.id = n.planned_by
		where $in(n) and n.placement_id = @placement order by n.planned_at desc, n.id desc`, args{"placement": placement})
}

// PlansAhead lists the plans for open placements that no session has followed
// yet, one for each placement.
func (tx *Tx) PlansAhead(ctx context.Context) (_ []newel.PlannedSession, err error) {
	defer wrap(&err, "plans ahead")
	return many[newel.PlannedSession](ctx, tx, `select * from (
			select distinct on (n.placement_id) `+plannedColumns+` from planned_session n
			join placement p on $in(p) and p.id = n.placement_id
			left join account a on a.clinic_id = n.clinic_id and a.id = n.planned_by
			where $in(n) and p.ended_at is null order by n.placement_id, n.planned_at desc, n.id desc) latest
		where not exists (select from recording r
			where $in(r) and r.placement_id = latest.placement_id and r.closed and not r.void and r.started_at >= latest.planned_at and r.session ->> 'kind' = latest.kind)
		order by placement_id`, nil)
}
