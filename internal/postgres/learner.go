package postgres

import (
	"context"

	"newel/internal/newel"
)

const learnerColumns = `select l.id, l.family_id, l.nickname, l.birth_month, l.care, l.care_rev from learner l where $in(l)`

// AddLearner adds a learner to a family.
func (tx *Tx) AddLearner(ctx context.Context, l newel.Learner) (err error) {
	defer wrap(&err, "add learner %s", l.ID)
	if err := tx.covers(l.FamilyID); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into learner (clinic_id, family_id, id, nickname, birth_month, care)
		values (@scope_clinic, @family, @id, @nickname, @born, @care)`,
		args{"family": l.FamilyID, "id": l.ID, "nickname": l.Nickname, "born": l.BirthMonth, "care": l.Care})
}

// Learner returns one learner.
func (tx *Tx) Learner(ctx context.Context, id newel.LearnerID) (_ newel.Learner, err error) {
	defer wrap(&err, "learner %s", id)
	return one[newel.Learner](ctx, tx, learnerColumns+` and l.id = @id`, args{"id": id})
}

// Learners lists the learners in scope by nickname.
func (tx *Tx) Learners(ctx context.Context) (_ []newel.Learner, err error) {
	defer wrap(&err, "learners")
	return many[newel.Learner](ctx, tx, learnerColumns+` order by l.nickname, l.id`, nil)
}

// LearnersOf lists the learners of one family by nickname.
func (tx *Tx) LearnersOf(ctx context.Context, family newel.FamilyID) (_ []newel.Learner, err error) {
	defer wrap(&err, "learners of %s", family)
	return many[newel.Learner](ctx, tx, learnerColumns+` and l.family_id = @family order by l.nickname, l.id`, args{"family": family})
}

// ChangeLearner stores a learner's nickname and birth month.
func (tx *Tx) ChangeLearner(ctx context.Context, id newel.LearnerID, nickname string, born newel.Day) (err error) {
	defer wrap(&err, "change learner %s", id)
	return tx.exec(ctx, `update learner l set nickname = @nickname, birth_month = @born where $in(l) and id = @id`,
		args{"id": id, "nickname": nickname, "born": born})
}

// SaveCare stores what everyone who teaches the learner must know. It returns
// ErrConflict unless the care notes are still at revision rev.
func (tx *Tx) SaveCare(ctx context.Context, id newel.LearnerID, care newel.Care, rev int) (err error) {
	defer wrap(&err, "save care of %s", id)
	changed, err := many[struct{ CareRev int }](ctx, tx, `update learner l set care = @care, care_rev = care_rev + 1
		where $in(l) and id = @id and care_rev = @rev returning care_rev`, args{"id": id, "care": care, "rev": rev})
	if err != nil || len(changed) == 1 {
		return err
	}
	if _, err := tx.Learner(ctx, id); err != nil {
		return err
	}
	return newel.ErrConflict
}
