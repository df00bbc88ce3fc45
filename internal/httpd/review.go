package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/live"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/timezone"
	"newel/internal/view"
)

func (s *Server) reviewRoutes() []Route {
	return []Route{
		{Method: http.MethodPost, Pattern: string(href.LearnerReviews), Needs: newel.Decide, Handle: postAt(s, "learner", s.beginReview, nil)},
		{Method: http.MethodGet, Pattern: string(href.Review), Needs: newel.SeeProgress, Handle: formAt("review", s.showReview)},
		{Method: http.MethodPost, Pattern: string(href.ReviewPage), Needs: newel.Decide, Handle: postAt(s, "review", s.turnPage, nil)},
		{Method: http.MethodPost, Pattern: string(href.ReviewEnd), Needs: newel.Decide, Handle: postAt(s, "review", s.endReview, nil)},
		{Method: http.MethodPost, Pattern: string(href.ReviewActions), Needs: newel.Decide, Handle: postAt(s, "review", s.agree, s.showReview)},
		{Method: http.MethodPost, Pattern: string(href.Action), Needs: newel.Decide, Handle: postAt(s, "action", s.settleAction, nil)},
		{Method: http.MethodGet, Pattern: href.Agreed, Needs: newel.TeachToday, Handle: s.agreed},
		{Method: http.MethodPost, Pattern: string(href.AgreedAction), Needs: newel.TeachToday, Handle: postAt(s, "action", s.settleOwnAction, nil)},
	}
}

func (s *Server) beginReview(r *http.Request, id newel.LearnerID, f sent) (string, error) {
	return s.app.BeginReview(r.Context(), mustActor(r), f.token, id)
}

func (s *Server) turnPage(r *http.Request, id newel.ReviewID, f sent) (string, error) {
	page, err := pageOf(f.Get("page"))
	if err != nil {
		return "", err
	}
	return href.Review.To(id), s.app.TurnPage(r.Context(), mustActor(r), id, page)
}

// pageOf parses the name of a page; zero stands for the agreed actions.
func pageOf(name string) (newel.PlacementID, error) {
	if name == say.AgreedTab {
		return newel.PlacementID{}, nil
	}
	return newel.ParseID[newel.PlacementID](name)
}

func (s *Server) endReview(r *http.Request, id newel.ReviewID, f sent) (string, error) {
	return s.app.EndReview(r.Context(), mustActor(r), f.token, id)
}

func (s *Server) agree(r *http.Request, id newel.ReviewID, f sent) (string, error) {
	return s.app.Agree(r.Context(), mustActor(r), f.token, id, app.ActionInput{
		Text: f.Get("text"), Whose: f.Get("whose"), DueOn: f.Get("due_on"),
	})
}

func (s *Server) settleAction(r *http.Request, id newel.ActionID, f sent) (string, error) {
	back := settledBack(f.Values, "")
	if f.Get("back") == "caseload" {
		back = href.Caseload
	}
	return s.app.SettleAction(r.Context(), mustActor(r), f.token, id, newel.Outcome(f.Get("outcome")), back)
}

func (s *Server) settleOwnAction(r *http.Request, id newel.ActionID, f sent) (string, error) {
	return s.app.SettleOwnAction(r.Context(), mustActor(r), f.token, id, newel.Outcome(f.Get("outcome")), settledBack(f.Values, href.Agreed))
}

// settledBack returns the review from which an action was settled, or usual.
func settledBack(values url.Values, usual string) string {
	if id, err := newel.ParseID[newel.ReviewID](values.Get("review")); err == nil {
		return href.Review.To(id) + "#agreed"
	}
	return usual
}

// showReview shows a review; f is the form for an agreed action.
func (s *Server) showReview(w http.ResponseWriter, r *http.Request, id newel.ReviewID, f sent) error {
	actor, t := mustActor(r), s.printer(r)
	name := r.URL.Query().Get("alone")
	var alone *newel.PlacementID
	if name != "" {
		page, err := pageOf(name)
		if err != nil {
			return err
		}
		alone = &page
	}
	review, err := s.app.Review(r.Context(), actor, id, alone)
	if err != nil {
		return err
	}
	m := say.ReviewPage(t, mustActor(r), review, name)
	p := page{Title: m.Title, Section: "families", Notice: f.problems["form"], Seen: review.State}
	if m.Up == nil {
		p.Kind = caregiverLayout
	}
	if m.Add != nil {
		m.Add.Form = s.formState(r, href.ReviewActions.To(id), f)
	}
	return s.page(w, r, f.status(), p, view.Review(m))
}

func (s *Server) agreed(w http.ResponseWriter, r *http.Request) error {
	actor := mustActor(r)
	own, clinics, today, err := s.app.Agreed(r.Context(), actor)
	if err != nil {
		return err
	}
	t := s.printer(r)
	all := func(newel.Action) bool { return true }
	m := view.AgreedPage{T: t, Title: t.Text("review.agreed"), None: t.Text("review.nothing_to_do"), Own: say.Unowned(say.ActionLines(t, actor, own, today, all)), Clinics: say.Unowned(say.ActionLines(t, actor, clinics, today, all))}
	return s.page(w, r, http.StatusOK, page{Title: m.Title, Kind: caregiverLayout}, view.Agreed(m))
}

// reviewsOf returns the reviews part of a learner's page.
func (s *Server) reviewsOf(r *http.Request, l app.LearnerPage) (view.ReviewsPart, error) {
	actor, t := mustActor(r), s.printer(r)
	reviews, actions, now, err := s.app.LearnerReviews(r.Context(), actor, l.ID)
	if err != nil {
		return view.ReviewsPart{}, err
	}
	m := say.ReviewsPart(t, actor, reviews, actions, now, timezone.OrUTC(l.Family.TimeZone))
	if actor.Can(newel.Decide) {
		form := s.formState(r, href.LearnerReviews.To(l.ID), sent{})
		m.Begin = &form
	}
	return m, nil
}

// watchReview notifies a review's page of everything about its family, and
// records that its reader is present.
func (s *Server) watchReview(w http.ResponseWriter, r *http.Request, id newel.ReviewID) error {
	return s.watch(w, r, func(actor newel.Actor) (live.Interest, string, error) {
		i, err := interestOf(actor, newel.SeeProgress)
		if err != nil {
			return i, "", err
		}
		family, state, err := s.app.Attend(r.Context(), actor, id)
		i.Families = []newel.FamilyID{family}
		return i, state, err
	})
}
