package postgres

import (
	"context"
	"time"

	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
)

// factsRow is Facts as one row; all fields are empty if the placement is out
// of reach.
type factsRow struct {
	PlacementID  *newel.PlacementID
	FamilyID     *newel.FamilyID
	AssignmentID *newel.AssignmentID
	TimeZone     *string
	Criterion    *string
	StepBack     *string
	BeganAt      *time.Time
	BeganOn      newel.Day
	Step         *program.Step
	PlannedHelp  *string
	HelpRules    *reading.HelpRules
	HelpLevels   []program.HelpLevel
	Marks        []reading.PauseMark
	Sessions     []byte // JSON of newel.KeptSessions
	Decided      *reading.LatestDecision
}

// factsColumns returns the columns of a factsRow over placement p, its family
// and version v. The expensive columns are computed only where the condition
// holds.
func factsColumns(condition string) string {
	return `p.id as placement_id, p.family_id, p.assignment_id, family.time_zone, p.criterion, p.step_back, p.began_at, p.began_on, p.planned_help,
		case when ` + condition + ` then jsonb_build_object('less', v.document #> '{procedure,less_help}', 'more', v.document #> '{procedure,more_help}') end as help_rules,
		case when ` + condition + ` then jsonb_path_query_first(v.document, '$.strands[*].steps[*] ? (@.key == $key)',
			jsonb_build_object('key', p.step_key)) end as step,
		case when ` + condition + ` then v.document -> 'help_levels' end as help_levels,
		case when ` + condition + ` then (select jsonb_agg(jsonb_build_object('kind', d.kind, 'at', d.decided_at) order by d.decided_at, d.id)
			from decision d join placement dp on dp.clinic_id = d.clinic_id and dp.id = d.placement_id
			where $in(d) and dp.assignment_id = p.assignment_id and d.kind in ('pause', 'resume')) end as marks,
		case when ` + condition + ` then (select jsonb_agg(s.session) from recording s
			where $in(s) and s.placement_id = p.id and s.session is not null) end as sessions,
		case when ` + condition + ` then (select jsonb_build_object('id', d.id, 'kind', d.kind, 'at', d.decided_at, 'reading', d.reading,
				'evaluator', d.answered -> 'evaluator', 'late', (select jsonb_agg(jsonb_build_object('id', s.id, 'at', s.closed_at) order by s.closed_at, s.id) from recording s
					where $in(s) and s.placement_id = p.id and s.session is not null and s.started_at < d.decided_at and s.closed_at > d.decided_at))
			from decision d where $in(d) and d.placement_id = p.id order by d.decided_at desc, d.id desc limit 1) end as decided`
}

func (row factsRow) facts() *reading.Facts {
	if row.PlacementID == nil {
		return nil
	}
	g := &reading.Facts{
		PlacementID: *row.PlacementID, FamilyID: *row.FamilyID, AssignmentID: *row.AssignmentID, TimeZone: *row.TimeZone,
		Criterion: *row.Criterion, StepBack: *row.StepBack, BeganAt: *row.BeganAt, BeganOn: row.BeganOn,
		PlannedHelp: *row.PlannedHelp, HelpLevels: row.HelpLevels, Marks: row.Marks, Decided: row.Decided,
	}
	if row.Sessions != nil {
		g.Damage = g.Sessions.UnmarshalJSON(row.Sessions)
	}
	if row.Step != nil {
		g.Step = *row.Step
	}
	if row.HelpRules != nil {
		g.HelpRules = *row.HelpRules
	}
	return g
}

// Facts returns what a placement's reading is computed from. Callers that
// write a reading from it must hold the placement's lock.
func (tx *Tx) Facts(ctx context.Context, id newel.PlacementID) (_ reading.Facts, err error) {
	defer wrap(&err, "facts of %s", id)
	row, err := one[factsRow](ctx, tx, `select `+factsColumns("true")+` from placement p
		join family on $in(family) and family.id = p.family_id
		join version v on $clinic(v) and v.id = p.version_id
		where $in(p) and p.id = @id`, args{"id": id})
	if err != nil {
		return reading.Facts{}, err
	}
	return *row.facts(), nil
}

// putReading replaces the stored reading.
const putReading = `insert into reading as g (clinic_id, family_id, placement_id, as_of, evaluator, status, body, idle_from, stale, gist, latest, by_rule, late, late_at, waiting)
	values (@scope_clinic, @family, @placement, @as_of, @evaluator, @status, @body, @idle_from, @stale, @gist, @latest, @by_rule, @late, @late_at,
		(select count(*) from recording n where $in(n) and n.placement_id = @placement and n.needs_person))
	on conflict (clinic_id, placement_id) do update set as_of = excluded.as_of, evaluator = excluded.evaluator,
		status = excluded.status, body = excluded.body, idle_from = excluded.idle_from, stale = excluded.stale, gist = excluded.gist,
		latest = excluded.latest, by_rule = excluded.by_rule, late = excluded.late, late_at = excluded.late_at, waiting = excluded.waiting
	where $in(g)`

func readingArgs(g newel.Reading) args {
	latest := g.Latest
	if latest == nil {
		latest = []newel.KeptSession{}
	}
	var lateAt *time.Time
	if g.Late != nil && g.Late.Changes {
		lateAt = &g.Late.At
	}
	return args{
		"family": g.FamilyID, "placement": g.PlacementID, "as_of": g.AsOf, "evaluator": g.Evaluator, "status": g.Status,
		"body": g.Body, "idle_from": g.IdleFrom, "stale": g.Stale, "gist": g.Gist, "latest": latest, "by_rule": g.ByRule,
		"late": g.Late, "late_at": lateAt,
	}
}

// PutReading stores a placement's reading.
func (tx *Tx) PutReading(ctx context.Context, g newel.Reading) (err error) {
	defer wrap(&err, "put reading of %s", g.PlacementID)
	if err := tx.covers(g.FamilyID); err != nil {
		return err
	}
	return tx.exec(ctx, putReading, readingArgs(g))
}

// MarkStale records that a placement must be evaluated again. Its last reading,
// if any, stays in place.
func (tx *Tx) MarkStale(ctx context.Context, family newel.FamilyID, placement newel.PlacementID) (err error) {
	defer wrap(&err, "mark stale %s", placement)
	if err := tx.covers(family); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into reading as g (clinic_id, family_id, placement_id, as_of, evaluator, status, body, stale)
		values (@scope_clinic, @family, @placement, @now, 0, '', '{}', true)
		on conflict (clinic_id, placement_id) do update set stale = true where $in(g)`,
		args{"family": family, "placement": placement})
}

const readingColumns = `g.placement_id, g.family_id, g.as_of, g.evaluator, g.status, g.body, g.idle_from, g.stale, g.gist,
	g.by_rule, g.late`

// Reading returns the latest reading of a placement.
func (tx *Tx) Reading(ctx context.Context, placement newel.PlacementID) (_ newel.Reading, err error) {
	defer wrap(&err, "reading of %s", placement)
	return one[newel.Reading](ctx, tx, `select `+readingColumns+` from reading g where $in(g) and g.placement_id = @placement`,
		args{"placement": placement})
}

// AssignmentReadings lists the readings of an assignment's placements.
func (tx *Tx) AssignmentReadings(ctx context.Context, assignment newel.AssignmentID) (_ []newel.Reading, err error) {
	defer wrap(&err, "readings of assignment %s", assignment)
	return many[newel.Reading](ctx, tx, `select `+readingColumns+` from placement p
		join reading g on g.clinic_id = p.clinic_id and g.family_id = p.family_id and g.placement_id = p.id
		where $in(p) and $in(g) and p.assignment_id = @assignment order by g.placement_id`, args{"assignment": assignment})
}

// Readings lists up to limit readings in scope in placement order, starting
// after the given placement.
func (tx *Tx) Readings(ctx context.Context, after newel.PlacementID, limit int) (_ []newel.Reading, err error) {
	defer wrap(&err, "readings")
	return many[newel.Reading](ctx, tx, `select `+readingColumns+` from reading g where $in(g) and g.placement_id > @after
		order by g.placement_id limit @limit`, args{"after": after, "limit": limit})
}

// AllFacts returns what the readings of the placements in (after, upTo] are
// computed from, in placement order. In a snapshot they match the readings that
// Readings returns.
func (tx *Tx) AllFacts(ctx context.Context, after, upTo newel.PlacementID) (_ []reading.Facts, err error) {
	defer wrap(&err, "facts")
	rows, err := many[factsRow](ctx, tx, `select `+factsColumns("true")+` from placement p
		join family on $in(family) and family.id = p.family_id
		join version v on $clinic(v) and v.id = p.version_id
		where $in(p) and p.id > @after and p.id <= @up_to order by p.id`, args{"after": after, "up_to": upTo})
	facts := make([]reading.Facts, len(rows))
	for i, row := range rows {
		facts[i] = *row.facts()
	}
	return facts, err
}

// RuleDue lists up to limit open placements that have met the criterion and
// that a rule may advance.
func (tx *Tx) RuleDue(ctx context.Context, limit int) (_ []newel.PlacementID, err error) {
	defer wrap(&err, "rule due")
	rows, err := many[struct{ PlacementID newel.PlacementID }](ctx, tx, `select g.placement_id from reading g
		join placement p on p.clinic_id = g.clinic_id and p.family_id = g.family_id and p.id = g.placement_id
		join assignment a on a.clinic_id = p.clinic_id and a.family_id = p.family_id and a.id = p.assignment_id
		where $in(g) and $in(p) and $in(a) and g.by_rule and p.ended_at is null and a.state = 'active'
		order by g.as_of desc limit @limit`, args{"limit": limit})
	ids := make([]newel.PlacementID, len(rows))
	for i, r := range rows {
		ids[i] = r.PlacementID
	}
	return ids, err
}

// Stale lists up to limit placements that must be evaluated again.
func (tx *Tx) Stale(ctx context.Context, limit int) (_ []newel.PlacementID, err error) {
	defer wrap(&err, "stale")
	rows, err := many[struct{ PlacementID newel.PlacementID }](ctx, tx, `select g.placement_id from reading g
		where $in(g) and g.stale order by g.as_of limit @limit`, args{"limit": limit})
	ids := make([]newel.PlacementID, len(rows))
	for i, r := range rows {
		ids[i] = r.PlacementID
	}
	return ids, err
}
