package postgres

import (
	"context"
	"errors"

	"newel/internal/newel"
)

// AddVerdict records the outcome that someone reports for a decision.
func (tx *Tx) AddVerdict(ctx context.Context, v newel.Verdict) (err error) {
	defer wrap(&err, "add verdict %s", v.ID)
	if err := errors.Join(tx.covers(v.FamilyID), tx.staff()); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into verdict (clinic_id, family_id, id, decision_id, came, line, given_by, given_at)
		values (@scope_clinic, @family, @id, @decision, @came, @line, @scope_account, @now)`,
		args{"family": v.FamilyID, "id": v.ID, "decision": v.DecisionID, "came": v.Came, "line": v.Line})
}

// Verdicts lists the reported outcomes of the decisions about an assignment,
// newest first. Only staff see them.
func (tx *Tx) Verdicts(ctx context.Context, assignment newel.AssignmentID) (_ []newel.Verdict, err error) {
	defer wrap(&err, "verdicts on assignment %s", assignment)
	return many[newel.Verdict](ctx, tx, `
		select m.id, m.family_id, m.decision_id, m.came, m.line, m.given_by, coalesce(a.name, '') as given_by_name, m.given_at
		from placement p
		join decision d on d.clinic_id = p.clinic_id and d.family_id = p.family_id and d.placement_id = p.id
		join verdict m on m.clinic_id = d.clinic_id and m.family_id = d.family_id and m.decision_id = d.id
		left join account a on a.clinic_id = m.clinic_id and a.id = m.given_by
		where $in(p) and $in(m) and $staff(m) and p.assignment_id = @assignment order by m.given_at desc, m.id desc`, args{"assignment": assignment})
}
