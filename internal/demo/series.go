package demo

import (
	"context"
	"strings"

	"newel/internal/app"
	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/recording"
)

// sat returns the sessions of a series.
func sat(rows ...row) []sitting {
	list := make([]sitting, len(rows))
	for i, r := range rows {
		list[i].row = r
	}
	return list
}

// timed sets the median response time of each session in seconds.
func timed(list []sitting, seconds ...int) []sitting {
	for i := range list {
		list[i].seconds = seconds[i]
	}
	return list
}

// but changes the n-th session, counted from 1.
func but(list []sitting, n int, change func(*sitting)) []sitting {
	change(&list[n-1])
	return list
}

// quick is a step mastered at once: all correct, one session a day.
func quick(who string, of int, days ...int) []sitting {
	list := make([]sitting, len(days))
	for i, d := range days {
		list[i].row = row{d, who, "home", of, of}
	}
	return list
}

// advanced is a placement on a step that was mastered at once.
func advanced(role, step string, sessions []sitting, reason string) stage {
	return stage{role: role, step: step, sessions: sessions, decision: newel.DecisionAdvance, decided: app.DecisionInput{Reason: reason}}
}

// decides is a decision that leaves the placement open.
func decides(day int, kind newel.DecisionKind, reason string) event {
	return event{day, func(ctx context.Context, h *home, at newel.PlacementID) error {
		return h.decide(ctx, at, kind, app.DecisionInput{Reason: reason})
	}}
}

// observes is what the supervisor saw while someone taught: a letter for each
// point of the program's checklist, d for done as planned, o for not as
// planned, and u for not seen.
func observes(day int, who string, watched newel.Watched, seen, note string) event {
	return event{day, func(ctx context.Context, h *home, at newel.PlacementID) error {
		in := app.FidelityInput{
			Person: h.people[who].String(), TaughtOn: newel.DayOf(h.clock.at, h.zone).String(), Watched: string(watched), Note: note,
			Seen: func(n int) string {
				return string(map[byte]newel.Seen{'d': newel.SeenDone, 'o': newel.SeenNotDone, 'u': newel.NotSeen}[seen[n]])
			},
		}
		_, err := h.app.RecordFidelity(ctx, h.supervisor, app.NewForm(), at, in)
		return err
	}}
}

// writes is a message to the clinic, and the clinic's answer if there is one.
func writes(day int, who, text, answer string) event {
	return event{day, func(ctx context.Context, h *home, _ newel.PlacementID) error {
		if _, err := h.app.WriteToClinic(ctx, h.phones[who], app.NewForm(), text, newel.MessageID{}); err != nil || answer == "" {
			return err
		}
		_, list, err := h.app.FamilyMessages(ctx, h.supervisor, h.family)
		if err != nil || len(list) == 0 {
			return err
		}
		_, err = h.app.WriteToFamily(ctx, h.supervisor, app.NewForm(), h.family, answer, list[0].ID)
		return err
	}}
}

// tells is an incident outside a session, and the clinic's response.
func tells(day int, who string, in app.IncidentInput, follows string) event {
	return event{day, func(ctx context.Context, h *home, _ newel.PlacementID) error {
		in.HappenedOn = newel.DayOf(h.clock.at, h.zone).String()
		if _, err := h.app.RecordOwnIncident(ctx, h.phones[who], app.NewForm(), in); err != nil {
			return err
		}
		_, list, _, err := h.app.Incidents(ctx, h.supervisor, h.learner)
		if err != nil || len(list) == 0 {
			return err
		}
		_, err = h.app.AnswerIncident(ctx, h.supervisor, app.NewForm(), list[0].ID, follows, true)
		return err
	}}
}

// agreed is something agreed in a review.
type agreed struct {
	text  string
	whose newel.ActionOwner
	in    int  // days until it is due; 0 if no day was set
	done  bool // whether the family or the supervisor has done it
}

// reviews is a call with someone of the family, and the actions agreed in it.
func reviews(day int, who string, actions ...agreed) event {
	return event{day, func(ctx context.Context, h *home, at newel.PlacementID) error {
		path, err := h.app.BeginReview(ctx, h.supervisor, app.NewForm(), h.learner)
		if err != nil {
			return err
		}
		id, err := newel.ParseID[newel.ReviewID](path[strings.LastIndex(path, "/")+1:])
		if err != nil {
			return err
		}
		for _, guest := range []newel.Actor{h.supervisor, h.phones[who]} {
			if _, _, err := h.app.Attend(ctx, guest, id); err != nil {
				return err
			}
		}
		if err := h.app.TurnPage(ctx, h.supervisor, id, at); err != nil {
			return err
		}
		for _, a := range actions {
			if err := h.agrees(ctx, id, a); err != nil {
				return err
			}
		}
		_, err = h.app.EndReview(ctx, h.supervisor, app.NewForm(), id)
		return err
	}}
}

func (h *home) agrees(ctx context.Context, id newel.ReviewID, a agreed) error {
	in := app.ActionInput{Text: a.text, Whose: string(a.whose)}
	if a.in > 0 {
		in.DueOn = newel.DayOf(h.clock.at.AddDate(0, 0, a.in), h.zone).String()
	}
	if _, err := h.app.Agree(ctx, h.supervisor, app.NewForm(), id, in); err != nil || !a.done {
		return err
	}
	review, err := h.app.Review(ctx, h.supervisor, id, nil)
	if err != nil {
		return err
	}
	for _, x := range review.Actions {
		if x.Text == a.text {
			if _, err := h.app.SettleAction(ctx, h.supervisor, app.NewForm(), x.ID, newel.ActionDone, ""); err != nil {
				return err
			}
		}
	}
	return nil
}

// asks is a question to the family, and their answer if there is one.
func asks(day int, text, who, answer string) event {
	return event{day, func(ctx context.Context, h *home, at newel.PlacementID) error {
		if _, err := h.app.Ask(ctx, h.supervisor, app.NewForm(), at, text); err != nil || answer == "" {
			return err
		}
		open, err := h.app.OpenQuestions(ctx, h.phones[who])
		if err != nil {
			return err
		}
		for _, q := range open {
			if q.PlacementID == at {
				if _, err := h.app.Answer(ctx, h.phones[who], app.NewForm(), q.ID, answer); err != nil {
					return err
				}
			}
		}
		return nil
	}}
}

// judges records the outcome of the last decision.
func judges(day int, came newel.ExpectationResult, line string) event {
	return event{day, func(ctx context.Context, h *home, at newel.PlacementID) error {
		page, err := h.app.Progress(ctx, h.supervisor, at)
		if err != nil {
			return err
		}
		for _, d := range page.Decisions {
			if d.Expected != "" {
				_, err := h.app.RecordOutcome(ctx, h.supervisor, app.NewForm(), at, d.ID, app.VerdictInput{Came: came, Line: line})
				return err
			}
		}
		return newel.ErrNotFound
	}}
}

// withdraws is a consent that the family withdraws.
func withdraws(day int, kind newel.ConsentKind) event {
	return event{day, func(ctx context.Context, h *home, _ newel.PlacementID) error {
		page, err := h.app.Consents(ctx, h.supervisor, h.learner)
		if err != nil {
			return err
		}
		for _, c := range page.Consents {
			if c.Kind == kind && c.WithdrawnOn.IsZero() {
				_, err := h.app.WithdrawConsent(ctx, h.supervisor, app.NewForm(), c.ID, newel.DayOf(h.clock.at, h.zone).String())
				return err
			}
		}
		return newel.ErrNotFound
	}}
}

// amends is a correction of a session that was recorded under a name.
func amends(day int, name string, change recording.Change, reason string) event {
	return event{day, func(ctx context.Context, h *home, _ newel.PlacementID) error {
		in := app.AmendInput{Recording: h.recorded[name], Change: change, Reason: reason}
		_, err := h.app.Amend(ctx, h.supervisor, app.NewForm(), in)
		return err
	}}
}

// notYet changes a trial to incorrect.
func notYet(n int) recording.Change {
	return recording.GiveAnswer(n, recording.Answer{Outcome: measure.Incorrect})
}
