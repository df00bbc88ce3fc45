package postgres

import (
	"context"
	"fmt"

	"newel/internal/newel"
)

// texts returns ids as text that Postgres can cast to uuid[].
func texts[I fmt.Stringer](ids []I) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = id.String()
	}
	return out
}

// AddAssignment assigns a program to a learner. It returns ErrConflict if the
// learner already has it.
func (tx *Tx) AddAssignment(ctx context.Context, a newel.Assignment) (err error) {
	defer wrap(&err, "add assignment %s", a.ID)
	if err := tx.covers(a.FamilyID); err != nil {
		return err
	}
	overrides := a.Overrides
	if overrides == nil {
		overrides = map[string]newel.StepOverride{}
	}
	return tx.exec(ctx, `insert into assignment (clinic_id, family_id, id, learner_id, program_id, state, overrides, created_by, created_at)
		values (@scope_clinic, @family, @id, @learner, @program, @state, @overrides, @scope_account, @now)`,
		args{
			"family": a.FamilyID, "id": a.ID, "learner": a.LearnerID, "program": a.ProgramID, "state": a.State,
			"overrides": overrides,
		})
}

// Assignment returns one assignment.
func (tx *Tx) Assignment(ctx context.Context, id newel.AssignmentID) (_ newel.Assignment, err error) {
	defer wrap(&err, "assignment %s", id)
	return one[newel.Assignment](ctx, tx, `select id, family_id, learner_id, program_id, state, overrides, created_by, created_at
		from assignment a where $in(a) and id = @id`, args{"id": id})
}

// LockAssignment returns one assignment and locks it against other decisions
// until the transaction ends.
func (tx *Tx) LockAssignment(ctx context.Context, id newel.AssignmentID) (_ newel.Assignment, err error) {
	defer wrap(&err, "lock assignment %s", id)
	return one[newel.Assignment](ctx, tx, `select id, family_id, learner_id, program_id, state, overrides, created_by, created_at
		from assignment a where $in(a) and id = @id for update`, args{"id": id})
}

// Assignments lists a learner's assignments, newest first.
func (tx *Tx) Assignments(ctx context.Context, learner newel.LearnerID) (_ []newel.AssignmentRow, err error) {
	defer wrap(&err, "assignments of learner %s", learner)
	return many[newel.AssignmentRow](ctx, tx, `
		select a.id, a.family_id, a.learner_id, a.program_id, a.state, a.overrides, a.created_by, a.created_at, p.title as program
		from assignment a
		join program p on p.clinic_id = a.clinic_id and p.id = a.program_id
		where $in(a) and a.learner_id = @learner order by a.created_at desc, a.id desc`, args{"learner": learner})
}

// SetOverrides stores a learner's overrides in a program, by step.
func (tx *Tx) SetOverrides(ctx context.Context, id newel.AssignmentID, own map[string]newel.StepOverride) (err error) {
	defer wrap(&err, "set overrides of assignment %s", id)
	return tx.exec(ctx, `update assignment a set overrides = @own where $in(a) and id = @id`, args{"id": id, "own": own})
}

// SetAssignmentState changes whether an assignment is being taught.
func (tx *Tx) SetAssignmentState(ctx context.Context, id newel.AssignmentID, state newel.AssignmentState) (err error) {
	defer wrap(&err, "set state of assignment %s", id)
	return tx.exec(ctx, `update assignment a set state = @state where $in(a) and id = @id`, args{"id": id, "state": state})
}
