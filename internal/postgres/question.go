package postgres

import (
	"context"

	"newel/internal/newel"
)

// Ask asks a family a question about one of its placements.
func (tx *Tx) Ask(ctx context.Context, q newel.Question) (err error) {
	defer wrap(&err, "ask %s", q.ID)
	if err := tx.covers(q.FamilyID); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into question (clinic_id, family_id, id, placement_id, text, asked_by, asked_at)
		values (@scope_clinic, @family, @id, @placement, @text, @scope_account, @now)`,
		args{"family": q.FamilyID, "id": q.ID, "placement": q.PlacementID, "text": q.Text})
}

// AnswerQuestion stores a family's answer. It returns ErrConflict if someone
// else in the family has answered.
func (tx *Tx) AnswerQuestion(ctx context.Context, id newel.QuestionID, answer string) (err error) {
	defer wrap(&err, "answer question %s", id)
	row, err := one[struct{ Unanswered bool }](ctx, tx, `select answered_at is null as unanswered from question q where $in(q) and q.id = @id for update`, args{"id": id})
	if err != nil {
		return err
	}
	if !row.Unanswered {
		return newel.ErrConflict
	}
	return tx.exec(ctx, `update question q set answer = @answer, answered_by = @scope_account, answered_at = @now
		where $in(q) and q.id = @id`, args{"id": id, "answer": answer})
}

const questionColumns = `select q.id, q.family_id, q.placement_id, q.text, q.asked_by, coalesce(a.name, '') as asked_by_name, q.asked_at,
		q.answer, coalesce(b.name, '') as answered_by_name, q.answered_at, f.time_zone
	from question q
	join family f on f.clinic_id = q.clinic_id and f.id = q.family_id
	left join account a on a.clinic_id = q.clinic_id and a.id = q.asked_by
	left join account b on b.clinic_id = q.clinic_id and b.id = q.answered_by
	where $in(q)`

// Questions lists the questions about an assignment, oldest first.
func (tx *Tx) Questions(ctx context.Context, assignment newel.AssignmentID) (_ []newel.Question, err error) {
	defer wrap(&err, "questions about assignment %s", assignment)
	return many[newel.Question](ctx, tx, questionColumns+` and q.placement_id in (select p.id from placement p
		where $in(p) and p.assignment_id = @assignment) order by q.asked_at, q.id`, args{"assignment": assignment})
}

// OpenQuestions lists the unanswered questions to the scope's families, oldest
// first.
func (tx *Tx) OpenQuestions(ctx context.Context) (_ []newel.Question, err error) {
	defer wrap(&err, "open questions")
	return many[newel.Question](ctx, tx, questionColumns+` and q.answered_at is null order by q.asked_at, q.id`, nil)
}

// answeredDays is how many days a family sees its answers.
const answeredDays = 14

// AnsweredQuestions lists the questions that the scope's families answered
// lately, oldest answer first.
func (tx *Tx) AnsweredQuestions(ctx context.Context) (_ []newel.Question, err error) {
	defer wrap(&err, "answered questions")
	return many[newel.Question](ctx, tx, questionColumns+` and q.answered_at > @since order by q.answered_at, q.id`,
		args{"since": tx.Now().AddDate(0, 0, -answeredDays)})
}

// Question returns one question.
func (tx *Tx) Question(ctx context.Context, id newel.QuestionID) (_ newel.Question, err error) {
	defer wrap(&err, "question %s", id)
	return one[newel.Question](ctx, tx, questionColumns+` and q.id = @id`, args{"id": id})
}
