package app

import (
	"context"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// Ask asks the family a question about a placement. It stays on the family's
// pages until someone there answers it. Ask returns the location of the
// placement's page.
func (a *App) Ask(ctx context.Context, actor newel.Actor, form Form, placement newel.PlacementID, text string) (string, error) {
	var e newel.Invalid
	text = e.Text("question", text, newel.MaxNote, true)
	if err := e.OrNil(); err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		p, err := tx.Placement(ctx, placement)
		if err != nil {
			return "", err
		}
		q := newel.Question{ID: newel.NewID[newel.QuestionID](), FamilyID: p.FamilyID, PlacementID: p.ID, Text: text}
		if err := tx.Ask(ctx, q); err != nil {
			return "", err
		}
		return href.Placement.To(p.ID), tx.Note(ctx, "question.asked", q.FamilyID, q.ID.UUID)
	})
}

// OpenQuestions lists the unanswered questions to the caregiver's family.
func (a *App) OpenQuestions(ctx context.Context, actor newel.Actor) (questions []newel.Question, err error) {
	err = a.act(ctx, actor, newel.TeachToday, func(tx *postgres.Tx) error {
		questions, err = tx.OpenQuestions(ctx)
		return err
	})
	return questions, err
}

// AnsweredQuestions lists the questions that the caregiver's family answered
// lately.
func (a *App) AnsweredQuestions(ctx context.Context, actor newel.Actor) (questions []newel.Question, err error) {
	err = a.act(ctx, actor, newel.TeachToday, func(tx *postgres.Tx) error {
		questions, err = tx.AnsweredQuestions(ctx)
		return err
	})
	return questions, err
}

// Answer stores the family's answer. It returns ErrConflict if someone else in
// the family has answered.
func (a *App) Answer(ctx context.Context, actor newel.Actor, form Form, id newel.QuestionID, text string) (string, error) {
	return a.once(ctx, actor, newel.TeachToday, form, func(tx *postgres.Tx) (string, error) {
		q, err := tx.Question(ctx, id)
		if err != nil {
			return "", err
		}
		var e newel.Invalid
		text := e.Text("answer", text, newel.MaxNote, true)
		if err := e.OrNil(); err != nil {
			return "", err
		}
		if err := tx.AnswerQuestion(ctx, id, text); err != nil {
			return "", err
		}
		return href.Questions, tx.Note(ctx, "question.answered", q.FamilyID, q.ID.UUID)
	})
}

// Asked lists the questions about a placement's assignment, for staff and for
// the family.
func (a *App) Asked(ctx context.Context, actor newel.Actor, placement newel.PlacementID) (questions []newel.Question, err error) {
	err = a.act(ctx, actor, newel.SeeProgress, func(tx *postgres.Tx) error {
		p, err := tx.Placement(ctx, placement)
		if err != nil {
			return err
		}
		questions, err = tx.Questions(ctx, p.AssignmentID)
		return err
	})
	return questions, err
}
