package postgres

import (
	"context"

	"newel/internal/newel"
)

const placementColumns = `p.id, p.family_id, p.assignment_id, p.version_id, p.step_key, p.strand_key, p.criterion, p.step_back,
	p.planned_help, p.began_at, p.began_on, p.ended_at`

// AddPlacement opens a placement. It returns ErrConflict if its strand already
// has an open one.
func (tx *Tx) AddPlacement(ctx context.Context, p newel.Placement) (err error) {
	defer wrap(&err, "add placement %s", p.ID)
	if err := tx.covers(p.FamilyID); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into placement (clinic_id, family_id, id, assignment_id, version_id, step_key, strand_key,
			criterion, step_back, planned_help, began_at, began_on)
		values (@scope_clinic, @family, @id, @assignment, @version, @step, @strand, @criterion, @step_back, @planned_help, @now, @began_on)`,
		args{
			"family": p.FamilyID, "id": p.ID, "assignment": p.AssignmentID, "version": p.VersionID, "step": p.StepKey,
			"strand": p.StrandKey, "criterion": p.Criterion, "step_back": p.StepBack, "planned_help": p.PlannedHelp, "began_on": p.BeganOn,
		})
}

// Placement returns one placement.
func (tx *Tx) Placement(ctx context.Context, id newel.PlacementID) (_ newel.Placement, err error) {
	defer wrap(&err, "placement %s", id)
	return one[newel.Placement](ctx, tx, `select `+placementColumns+` from placement p where $in(p) and p.id = @id`, args{"id": id})
}

// Placements lists the placements of an assignment, oldest first.
func (tx *Tx) Placements(ctx context.Context, assignment newel.AssignmentID) (_ []newel.Placement, err error) {
	defer wrap(&err, "placements of assignment %s", assignment)
	return many[newel.Placement](ctx, tx, `select `+placementColumns+` from placement p
		where $in(p) and p.assignment_id = @assignment order by p.began_at, p.id`, args{"assignment": assignment})
}

// EndPlacement closes an open placement. It returns ErrNotFound if it is not
// open.
func (tx *Tx) EndPlacement(ctx context.Context, id newel.PlacementID) (err error) {
	defer wrap(&err, "end placement %s", id)
	return tx.exec(ctx, `update placement p set ended_at = @now where $in(p) and id = @id and ended_at is null`, args{"id": id})
}

// SetPlacementVersion moves an open placement to another version in which its
// step is taught and judged as before.
func (tx *Tx) SetPlacementVersion(ctx context.Context, id newel.PlacementID, version newel.VersionID) (err error) {
	defer wrap(&err, "set version of placement %s", id)
	return tx.exec(ctx, `update placement p set version_id = @version where $in(p) and id = @id and ended_at is null`,
		args{"id": id, "version": version})
}

// SetPlannedHelp changes the planned prompt of an open placement.
func (tx *Tx) SetPlannedHelp(ctx context.Context, id newel.PlacementID, level string) (err error) {
	defer wrap(&err, "set planned help of placement %s", id)
	return tx.exec(ctx, `update placement p set planned_help = @level where $in(p) and id = @id and ended_at is null`,
		args{"id": id, "level": level})
}

// AssignmentSessions lists the newest closed recordings of an assignment, up to
// the limit, by placement and then oldest first.
func (tx *Tx) AssignmentSessions(ctx context.Context, assignment newel.AssignmentID, limit int) (_ []newel.SessionRow, err error) {
	defer wrap(&err, "sessions of assignment %s", assignment)
	return many[newel.SessionRow](ctx, tx, `
		select * from (
			select r.id, r.placement_id, r.session, r.by_id as by, r.author_id, r.started_at, r.local_date, r.ended_at, r.void, r.afterwards, r.needs_person, coalesce(n.name, '') as by_name,
				(select count(*) from amendment m where $in(m) and m.recording_id = r.id) as amendments
			from placement p
			join recording r on r.clinic_id = p.clinic_id and r.family_id = p.family_id and r.placement_id = p.id
			left join person n on n.clinic_id = r.clinic_id and n.family_id = r.family_id and n.id = r.by_id
			where $in(p) and $in(r) and p.assignment_id = @assignment and r.closed and r.session is not null
			order by r.ended_at desc, r.id desc limit @limit) newest
		order by placement_id, ended_at, id`, args{"assignment": assignment, "limit": limit})
}

// AddDecision stores a decision. It returns ErrConflict if another decision has
// closed the same placement.
func (tx *Tx) AddDecision(ctx context.Context, d newel.Decision) (err error) {
	defer wrap(&err, "add decision %s", d.ID)
	if err := tx.covers(d.FamilyID); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into decision (clinic_id, family_id, id, placement_id, kind, closes, reason, for_family, expected, expected_by, agreed_on,
			reading, answered, by_rule, help, next_placement_id, decided_by, decided_at)
		values (@scope_clinic, @family, @id, @placement, @kind, @closes, @reason, @for_family, @expected, @expected_by, @agreed_on, @reading, @answered, @by_rule,
			@help, @next, @scope_account, @now)`,
		args{
			"family": d.FamilyID, "id": d.ID, "placement": d.PlacementID, "kind": d.Kind, "closes": d.Closes(), "reason": d.Reason, "for_family": d.ForFamily,
			"expected": d.Expected, "expected_by": d.ExpectedBy, "agreed_on": d.AgreedOn, "reading": d.Reading, "answered": d.Answered,
			"by_rule": d.ByRule, "help": d.Help, "next": d.NextPlacement,
		})
}

// Decisions lists the decisions about an assignment, newest first.
func (tx *Tx) Decisions(ctx context.Context, assignment newel.AssignmentID) (_ []newel.DecisionRow, err error) {
	defer wrap(&err, "decisions of assignment %s", assignment)
	return many[newel.DecisionRow](ctx, tx, `
		select d.id, d.family_id, d.placement_id, d.kind, d.reason, d.for_family, d.expected, d.expected_by, d.agreed_on, d.reading, d.answered, d.by_rule, d.help,
			d.next_placement_id as next_placement,
			d.decided_by, d.decided_at, coalesce(a.name, '') as decided_by_name, p.step_key
		from placement p
		join decision d on d.clinic_id = p.clinic_id and d.family_id = p.family_id and d.placement_id = p.id
		left join account a on a.clinic_id = d.clinic_id and a.id = d.decided_by
		where $in(p) and $in(d) and p.assignment_id = @assignment order by d.decided_at desc, d.id desc`, args{"assignment": assignment})
}
