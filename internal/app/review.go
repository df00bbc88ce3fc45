package app

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"time"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
	"newel/internal/timezone"
)

// ReviewView is a review as its page shows it to the actor.
type ReviewView struct {
	newel.Review
	Family  newel.Family
	Now     time.Time
	Pages   []postgres.ReviewPage
	Shown   *reading.Progress // the open page; nil for the agreed actions
	Actions []newel.Action    // about the learner, next due first
	Here    []newel.Guest     // current participants, including the reader
	State   string            // changes whenever the open page, the participants or the agreed actions change
}

// Today returns the date in the family's time zone.
func (r ReviewView) Today() newel.Day { return today(r.Now, r.Family) }

// BeginReview opens a review of a learner's programs, or returns the location
// of the one in progress.
func (a *App) BeginReview(ctx context.Context, actor newel.Actor, form Form, learner newel.LearnerID) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		l, err := tx.Learner(ctx, learner)
		if err != nil {
			return "", err
		}
		before, err := tx.Reviews(ctx, learner)
		if err != nil {
			return "", err
		}
		if len(before) > 0 && before[0].InProgress(tx.Now()) {
			return href.Review.To(before[0].ID), nil
		}
		r := newel.Review{ID: newel.NewID[newel.ReviewID](), FamilyID: l.FamilyID, LearnerID: learner}
		if err := tx.BeginReview(ctx, r); err != nil {
			return "", err
		}
		return href.Review.To(r.ID), tx.Note(ctx, "review.began", r.FamilyID, r.ID.UUID)
	})
}

// Review returns a review. alone is the page that the reader views separately;
// nil for the shared page.
func (a *App) Review(ctx context.Context, actor newel.Actor, id newel.ReviewID, alone *newel.PlacementID) (r ReviewView, err error) {
	err = a.upToDate(ctx, actor.Clinic, func() ([]newel.PlacementID, error) {
		err := a.act(ctx, actor, newel.SeeProgress, func(tx *postgres.Tx) error {
			r, err = reviewOf(ctx, tx, actor, id, alone)
			return err
		})
		if r.Shown == nil {
			return nil, err
		}
		return r.Shown.Outdated, err
	})
	return r, err
}

func reviewOf(ctx context.Context, tx *postgres.Tx, actor newel.Actor, id newel.ReviewID, alone *newel.PlacementID) (r ReviewView, err error) {
	r.Now = tx.Now()
	if r.Review, err = tx.Review(ctx, id); err != nil {
		return r, err
	}
	if r.Family, err = tx.Family(ctx, r.FamilyID); err != nil {
		return r, err
	}
	if r.Actions, err = tx.Actions(ctx, r.LearnerID); err != nil {
		return r, err
	}
	r.Here = here(r.Review, r.Now, actor)
	r.State = reviewState(r.Review, r.Here)
	if !r.InProgress(r.Now) {
		return r, nil
	}
	if r.Pages, err = tx.ReviewPages(ctx, r.LearnerID); err != nil {
		return r, err
	}
	page := r.PlacementID
	if alone != nil {
		page = alone
	}
	if page == nil || !r.has(*page) {
		return r, nil
	}
	p, err := progressOf(ctx, tx, *page)
	r.Shown = &p
	return r, err
}

// has reports whether the review can show a page; its placement may have ended.
func (r ReviewView) has(page newel.PlacementID) bool {
	return slices.ContainsFunc(r.Pages, func(p postgres.ReviewPage) bool { return p.PlacementID == page })
}

// here lists who has a page open, including the reader.
func here(r newel.Review, now time.Time, actor newel.Actor) []newel.Guest {
	var here []newel.Guest
	for _, g := range r.Guests {
		if g.Account == actor.Account || now.Sub(g.SeenAt) < newel.GuestTimeout {
			here = append(here, g)
		}
	}
	if !slices.ContainsFunc(here, func(g newel.Guest) bool { return g.Account == actor.Account }) {
		here = append(here, newel.Guest{Account: actor.Account, Name: actor.Name, SeenAt: now})
	}
	return here
}

func reviewState(r newel.Review, here []newel.Guest) string {
	state := []string{strconv.Itoa(r.Agreed)}
	if r.PlacementID != nil {
		state = append(state, r.PlacementID.String())
	}
	for _, g := range here {
		state = append(state, g.Account.String())
	}
	slices.Sort(state)
	return strings.Join(state, " ")
}

// Attend records that the actor has a page of an open review open. It returns
// the review's family and its state (see ReviewView).
func (a *App) Attend(ctx context.Context, actor newel.Actor, id newel.ReviewID) (family newel.FamilyID, state string, err error) {
	err = a.act(ctx, actor, newel.SeeProgress, func(tx *postgres.Tx) error {
		r, err := tx.Review(ctx, id)
		if err != nil {
			return err
		}
		family, state = r.FamilyID, reviewState(r, here(r, tx.Now(), actor))
		if !r.InProgress(tx.Now()) {
			return nil
		}
		return tx.Attend(ctx, family, id)
	})
	return family, state, err
}

// TurnPage opens a page of a review for everyone; the zero id is the agreed
// actions. The actor becomes the leader. It returns ErrNotFound if the learner
// is not currently taught the page's step, and ErrConflict if the review is
// over.
func (a *App) TurnPage(ctx context.Context, actor newel.Actor, id newel.ReviewID, page newel.PlacementID) error {
	return a.act(ctx, actor, newel.Decide, func(tx *postgres.Tx) error {
		r, err := tx.Review(ctx, id)
		if err != nil {
			return err
		}
		if !r.InProgress(tx.Now()) {
			return newel.ErrConflict
		}
		if page.IsZero() {
			return tx.TurnPage(ctx, id, nil)
		}
		pages, err := tx.ReviewPages(ctx, r.LearnerID)
		if err != nil {
			return err
		}
		if !(ReviewView{Pages: pages}).has(page) {
			return newel.ErrNotFound
		}
		return tx.TurnPage(ctx, id, &page)
	})
}

// EndReview ends a review and returns the location of its result. Doing it
// again changes nothing.
func (a *App) EndReview(ctx context.Context, actor newel.Actor, form Form, id newel.ReviewID) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		r, err := tx.Review(ctx, id)
		if err != nil || r.EndedAt != nil {
			return href.Review.To(id), err
		}
		if err := tx.EndReview(ctx, id); err != nil {
			return "", err
		}
		return href.Review.To(id), tx.Note(ctx, "review.ended", r.FamilyID, id.UUID)
	})
}

// ActionInput is an action agreed in a review.
type ActionInput struct {
	Text  string
	Whose string
	DueOn string // a date, or empty
}

// Agree records an action agreed in a review and returns the review's location.
// The review may have ended, so that what was typed is not lost.
func (a *App) Agree(ctx context.Context, actor newel.Actor, form Form, id newel.ReviewID, in ActionInput) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		r, err := tx.Review(ctx, id)
		if err != nil {
			return "", err
		}
		f, err := tx.Family(ctx, r.FamilyID)
		if err != nil {
			return "", err
		}
		x, err := in.clean(today(tx.Now(), f))
		if err != nil {
			return "", err
		}
		x.ID, x.FamilyID, x.LearnerID, x.ReviewID = newel.NewID[newel.ActionID](), r.FamilyID, r.LearnerID, id
		if err := tx.AddAction(ctx, x); err != nil {
			return "", err
		}
		return href.Review.To(id) + "#agreed", tx.Note(ctx, "action.agreed", x.FamilyID, x.ID.UUID)
	})
}

func (in ActionInput) clean(today newel.Day) (newel.Action, error) {
	var e newel.Invalid
	x := newel.Action{Text: e.Text("text", in.Text, newel.MaxNote, true), Whose: newel.ActionOwner(in.Whose)}
	if !slices.Contains(newel.ActionOwners, x.Whose) {
		e.Add("whose", "review.choose_whose")
	}
	if typed := strings.TrimSpace(in.DueOn); typed != "" {
		day, err := newel.ParseDay(typed)
		switch {
		case err != nil:
			e.Add("due_on", "field.date", "example", today.String())
		case day.Before(today):
			e.Add("due_on", "review.due_past", "today", today.String())
		}
		x.DueOn = day
	}
	return x, e.OrNil()
}

// SettleAction records the outcome of an action: done, dropped, or still to do.
// It returns back, or the location of the learner's page if back is empty.
func (a *App) SettleAction(ctx context.Context, actor newel.Actor, form Form, id newel.ActionID, outcome newel.Outcome, back string) (string, error) {
	return a.settle(ctx, actor, newel.Decide, form, id, outcome, back)
}

// SettleOwnAction is SettleAction for a caregiver and the family's actions. It
// returns ErrNotFound for the clinic's actions.
func (a *App) SettleOwnAction(ctx context.Context, actor newel.Actor, form Form, id newel.ActionID, outcome newel.Outcome, back string) (string, error) {
	return a.settle(ctx, actor, newel.TeachToday, form, id, outcome, back)
}

func (a *App) settle(ctx context.Context, actor newel.Actor, needs newel.Permission, form Form, id newel.ActionID, outcome newel.Outcome, back string) (string, error) {
	if !slices.Contains([]newel.Outcome{newel.ActionOpen, newel.ActionDone, newel.ActionDropped}, outcome) {
		return "", newel.ErrNotFound
	}
	return a.once(ctx, actor, needs, form, func(tx *postgres.Tx) (string, error) {
		x, err := tx.Action(ctx, id)
		if err != nil {
			return "", err
		}
		if err := tx.SettleAction(ctx, id, outcome); err != nil {
			return "", err
		}
		if back == "" {
			back = href.LearnerReviewList(x.LearnerID)
		}
		return back, tx.Note(ctx, "action.settled", x.FamilyID, x.ID.UUID)
	})
}

// Agreed lists the open agreed actions of the caregiver's family and of the
// clinic; today is in the family's time zone.
func (a *App) Agreed(ctx context.Context, actor newel.Actor) (own, clinics []newel.Action, today newel.Day, err error) {
	err = a.act(ctx, actor, newel.TeachToday, func(tx *postgres.Tx) error {
		today = newel.DayOf(tx.Now(), time.UTC)
		if own, err = tx.OpenActions(ctx, newel.OwnedByFamily); err != nil {
			return err
		}
		clinics, err = tx.OpenActions(ctx, newel.OwnedByClinic)
		for _, x := range append(own, clinics...) {
			if zone, err := timezone.Load(x.TimeZone); err == nil {
				today = newel.DayOf(tx.Now(), zone)
			}
		}
		return err
	})
	return own, clinics, today, err
}

// LearnerReviews lists a learner's reviews, newest first, and the agreed
// actions, next due first.
func (a *App) LearnerReviews(ctx context.Context, actor newel.Actor, learner newel.LearnerID) (reviews []newel.Review, actions []newel.Action, now time.Time, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		now = tx.Now()
		if reviews, err = tx.Reviews(ctx, learner); err != nil {
			return err
		}
		actions, err = tx.Actions(ctx, learner)
		return err
	})
	return reviews, actions, now, err
}
