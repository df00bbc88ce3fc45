package app

import (
	"context"
	"errors"
	"fmt"
	"time"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/recording"
)

// AmendInput is a correction of a closed recording, or a decision about an
// extra one. Field names match the form.
type AmendInput struct {
	Recording newel.RecordingID
	Change    recording.Change
	Reason    string
}

// Amend corrects a closed recording. It adds an amendment with author and
// reason and evaluates the placement again. The phone's data stay unchanged.
func (a *App) Amend(ctx context.Context, actor newel.Actor, form Form, in AmendInput) (string, error) {
	return a.once(ctx, actor, newel.AmendSession, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.LockRecording(ctx, in.Recording); err != nil {
			return "", err
		}
		r, err := tx.Recording(ctx, in.Recording)
		if err != nil {
			return "", err
		}
		amendments, err := tx.Amendments(ctx, r.ID)
		if err != nil {
			return "", err
		}
		amendment, err := check(actor, tx, r, amendments, in)
		if err != nil {
			return "", err
		}
		if err := tx.Amend(ctx, r.FamilyID, r.ID, amendment); err != nil {
			return "", err
		}
		if err := a.judgeAgain(ctx, tx, r, append(amendments, amendment)); err != nil {
			return "", err
		}
		return href.Recording.To(r.ID), tx.Note(ctx, "recording.amended", r.FamilyID, r.ID.UUID)
	})
}

func check(actor newel.Actor, tx *postgres.Tx, r recording.Kept, made []recording.Amendment, in AmendInput) (recording.Amendment, error) {
	invalid := &newel.Invalid{}
	reason := invalid.Text("reason", in.Reason, recording.MaxReason, true)
	if err := invalid.OrNil(); err != nil {
		return recording.Amendment{}, err
	}
	known := make([]newel.AmendmentID, len(made))
	at := tx.Now()
	for i, m := range made {
		known[i] = m.ID
		if !m.At.Before(at) { // amendments are ordered by time
			at = m.At.Add(time.Microsecond)
		}
	}
	amendment := recording.Amendment{ID: newel.NewID[newel.AmendmentID](), Author: actor.Account, At: at, Reason: reason, Change: in.Change}
	err := recording.Check(recording.Apply(r.State, made), known, amendment)
	var wrong *recording.InvalidError
	if errors.As(err, &wrong) {
		invalid.Add(wrong.Path, "amend.impossible")
		return recording.Amendment{}, fmt.Errorf("%w (%w)", invalid, wrong)
	}
	return amendment, err
}

// judgeAgain applies a recording's amendments to its summary and its
// placement's reading.
func (a *App) judgeAgain(ctx context.Context, tx *postgres.Tx, r recording.Kept, amendments []recording.Amendment) error {
	facts, err := tx.Facts(ctx, r.PlacementID)
	if err != nil {
		return err
	}
	people, err := tx.People(ctx, r.FamilyID)
	if err != nil {
		return err
	}
	ids := make([]newel.PersonID, len(people))
	for i, p := range people {
		ids[i] = p.ID
	}
	reading.Summarize(&r, recording.Apply(r.State, amendments), ids, facts.HelpLevels)
	if err := tx.Summarise(ctx, r); err != nil {
		return err
	}
	return a.evaluateAgain(ctx, tx, r.PlacementID)
}

// RecordingPage is one recording as a person sees it.
type RecordingPage struct {
	Recording  recording.Kept
	View       recording.View
	Account    recording.Account
	Amendments []recording.Amendment
	Authors    map[newel.AccountID]string // authors of the recording and its amendments
	People     []newel.Person             // of the family
	Learner    newel.Learner
	Program    string
	Step       program.Step
	Known      []program.Target // mastered targets that are mixed in
	HelpLevels []program.HelpLevel
	TimeZone   string // of the family
	MayAmend   bool
	// Overlapping are other sessions with the learner at the same time.
	Overlapping []newel.RecordingID
	Twins       []reading.Twin // of this session, if someone else recorded it too
}

// RecordingPage returns one recording with all its amendments.
func (a *App) RecordingPage(ctx context.Context, actor newel.Actor, id newel.RecordingID) (p RecordingPage, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		p, err = recordingPage(ctx, tx, id)
		return err
	})
	p.MayAmend = actor.Can(newel.AmendSession)
	return p, err
}

func recordingPage(ctx context.Context, tx *postgres.Tx, id newel.RecordingID) (RecordingPage, error) {
	r, err := tx.Recording(ctx, id)
	if err != nil {
		return RecordingPage{}, err
	}
	p := RecordingPage{Recording: r, Account: r.State.Account(false)}
	if p.Amendments, err = tx.Amendments(ctx, id); err != nil {
		return p, err
	}
	p.View = recording.Apply(r.State, p.Amendments)
	if p.People, err = tx.People(ctx, r.FamilyID); err != nil {
		return p, err
	}
	if p.Overlapping, err = tx.Overlapping(ctx, id); err != nil {
		return p, err
	}
	now, err := tx.TaughtAt(ctx, r.PlacementID)
	if err != nil {
		return p, err
	}
	if p.Twins, err = twinsOf(ctx, tx, r.PlacementID, id); err != nil {
		return p, err
	}
	p.Learner, p.Program, p.HelpLevels, p.TimeZone = now.Learner(), now.Document.Title, now.Document.HelpLevels, now.TimeZone
	if _, step := now.Document.Step(now.StepKey); step != nil {
		p.Step, p.Known = *step, now.Document.Known(step)
	}
	ids := []newel.AccountID{r.AuthorID}
	for _, m := range p.Amendments {
		ids = append(ids, m.Author)
	}
	p.Authors, err = tx.AccountNames(ctx, ids)
	return p, err
}
