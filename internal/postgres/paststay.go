package postgres

import (
	"context"
	"time"

	"newel/internal/newel"
	"newel/internal/reading"
)

// PastStay is one placement on a step, open or ended, with its recordings.
type PastStay struct {
	reading.Facts
	LearnerID newel.LearnerID
	EndedAt   *time.Time
}

// PastStays returns the newest placements on a step of a program within the
// scope, under any version, up to the limit; only those of one assignment if it
// is given.
func (tx *Tx) PastStays(ctx context.Context, program newel.ProgramID, step string, of *newel.AssignmentID, limit int) (_ []PastStay, err error) {
	defer wrap(&err, "past stays on %s of %s", step, program)
	rows, err := many[struct {
		factsRow
		LearnerID newel.LearnerID
		EndedAt   *time.Time
	}](ctx, tx, `select `+factsColumns("true")+`, a.learner_id, p.ended_at from placement p
		join assignment a on $in(a) and a.id = p.assignment_id
		join family on $in(family) and family.id = p.family_id
		join version v on $clinic(v) and v.id = p.version_id
		where $in(p) and a.program_id = @program and p.step_key = @step and (@assignment::uuid is null or a.id = @assignment)
		order by p.began_at desc, p.id limit @limit`,
		args{"program": program, "step": step, "assignment": of, "limit": limit})
	stays := make([]PastStay, len(rows))
	for i, row := range rows {
		stays[i] = PastStay{Facts: *row.facts(), LearnerID: row.LearnerID, EndedAt: row.EndedAt}
	}
	return stays, err
}
