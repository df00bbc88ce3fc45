package app

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// IncidentInput is an incident that someone saw.
type IncidentInput struct {
	Learner    string // an id; empty where the page determines the learner
	HappenedOn string
	AboutWhen  string
	Before     string
	Saw        string
	After      string
	Helped     string
	Minutes    string
	Hurt       string // yes or no
}

func (in IncidentInput) clean(today newel.Day) (newel.Incident, error) {
	var e newel.Invalid
	i := newel.Incident{
		HappenedOn: pastDay(&e, "happened_on", in.HappenedOn, today), AboutWhen: e.Text("about_when", in.AboutWhen, newel.MaxName, false),
		Before: e.Text("before", in.Before, newel.MaxNote, false), Saw: e.Text("saw", in.Saw, newel.MaxNote, true),
		After: e.Text("after", in.After, newel.MaxNote, false), Helped: e.Text("helped", in.Helped, newel.MaxNote, false), Hurt: in.Hurt == "yes",
	}
	if in.Hurt != "yes" && in.Hurt != "no" {
		e.Add("hurt", "incident.choose_hurt")
	}
	if typed := strings.TrimSpace(in.Minutes); typed != "" {
		n, err := strconv.Atoi(typed)
		if err != nil || n < 0 || n > newel.MaxMinutes {
			e.Add("minutes", "incident.minutes_bad", "most", newel.MaxMinutes)
		}
		i.Minutes = &n
	}
	return i, e.OrNil()
}

// OwnIncidents returns the incidents in the caregiver's family, newest first,
// the family's learners, and today's date there.
func (a *App) OwnIncidents(ctx context.Context, actor newel.Actor) (learners []newel.Learner, list []newel.Incident, day newel.Day, err error) {
	err = a.act(ctx, actor, newel.TeachToday, func(tx *postgres.Tx) error {
		if learners, err = tx.Learners(ctx); err != nil {
			return err
		}
		if list, err = tx.Incidents(ctx, newel.LearnerID{}); err != nil || len(learners) == 0 {
			return err
		}
		f, err := tx.Family(ctx, learners[0].FamilyID)
		day = today(tx.Now(), f)
		return err
	})
	return learners, list, day, err
}

// Incidents returns the incidents with a learner, newest first.
func (a *App) Incidents(ctx context.Context, actor newel.Actor, learner newel.LearnerID) (l newel.Learner, list []newel.Incident, day newel.Day, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		if l, err = tx.Learner(ctx, learner); err != nil {
			return err
		}
		f, err := tx.Family(ctx, l.FamilyID)
		if err != nil {
			return err
		}
		day = today(tx.Now(), f)
		list, err = tx.Incidents(ctx, learner)
		return err
	})
	return l, list, day, err
}

// RecordOwnIncident records an incident that a caregiver saw.
func (a *App) RecordOwnIncident(ctx context.Context, actor newel.Actor, form Form, in IncidentInput) (string, error) {
	return a.once(ctx, actor, newel.TeachToday, form, func(tx *postgres.Tx) (string, error) {
		learners, err := tx.Learners(ctx)
		if err != nil {
			return "", err
		}
		at := slices.IndexFunc(learners, func(l newel.Learner) bool { return l.ID.String() == in.Learner })
		if len(learners) == 1 {
			at = 0
		}
		if at < 0 {
			return "", &newel.Invalid{Problems: []newel.Problem{{Field: "learner", Key: "incident.choose_learner"}}}
		}
		return href.Incidents, noteIncident(ctx, tx, learners[at], in)
	})
}

// RecordIncident records an incident that staff saw or heard of.
func (a *App) RecordIncident(ctx context.Context, actor newel.Actor, form Form, learner newel.LearnerID, in IncidentInput) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		l, err := tx.Learner(ctx, learner)
		if err != nil {
			return "", err
		}
		return href.LearnerIncidents.To(learner), noteIncident(ctx, tx, l, in)
	})
}

func noteIncident(ctx context.Context, tx *postgres.Tx, l newel.Learner, in IncidentInput) error {
	f, err := tx.Family(ctx, l.FamilyID)
	if err != nil {
		return err
	}
	i, err := in.clean(today(tx.Now(), f))
	if err != nil {
		return err
	}
	i.ID, i.FamilyID, i.LearnerID = newel.NewID[newel.IncidentID](), l.FamilyID, l.ID
	if err := tx.AddIncident(ctx, i); err != nil {
		return err
	}
	return tx.Note(ctx, "incident.noted", i.FamilyID, i.ID.UUID)
}

// AddToIncident adds a caregiver's note to an incident.
func (a *App) AddToIncident(ctx context.Context, actor newel.Actor, form Form, id newel.IncidentID, text string) (string, error) {
	return a.once(ctx, actor, newel.TeachToday, form, func(tx *postgres.Tx) (string, error) {
		return href.Incidents, addToIncident(ctx, tx, id, text)
	})
}

// AnswerIncident adds a note by the clinic to an incident. If follows is set,
// the note is the clinic's response, and the incident is no longer open.
func (a *App) AnswerIncident(ctx context.Context, actor newel.Actor, form Form, id newel.IncidentID, text string, follows bool) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		i, err := tx.Incident(ctx, id)
		if err != nil {
			return "", err
		}
		if err := addToIncident(ctx, tx, id, text); err != nil {
			return "", err
		}
		if follows {
			if err := tx.SettleIncident(ctx, id); err != nil {
				return "", err
			}
		}
		return href.LearnerIncidents.To(i.LearnerID), nil
	})
}

func addToIncident(ctx context.Context, tx *postgres.Tx, id newel.IncidentID, text string) error {
	i, err := tx.Incident(ctx, id)
	if err != nil {
		return err
	}
	var e newel.Invalid
	text = e.Text("note", text, newel.MaxNote, true)
	if err := e.OrNil(); err != nil {
		return err
	}
	if err := tx.AddIncidentNote(ctx, i.FamilyID, id, text); err != nil {
		return err
	}
	return tx.Note(ctx, "incident.added", i.FamilyID, id.UUID)
}
