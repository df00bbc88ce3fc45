package app

import (
	"context"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// Ask puts a question to the family about a placement: it stands on the
// family's pages until somebody there has answered it. It leads to the
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

// OpenQuestions lists what the caregiver's family was asked and has not
// answered.
func (a *App) OpenQuestions(ctx context.Context, actor newel.Actor) (questions []newel.Question, err error) {
	err = a.act(ctx, actor, newel.TeachToday, func(tx *postgres.Tx) error {
		questions, err = tx.OpenQuestions(ctx)
		return err
	})
	return questions, err
}

// Answer keeps the family's answer. ErrConflict if somebody of the family has
// answered meanwhile.
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
