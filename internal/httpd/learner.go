package httpd

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

// peopleRoutes are the pages about people: the clinic's own, families and
// their learners.
func (s *Server) peopleRoutes() []Route {
	return slices.Concat(s.staffRoutes(), s.familyRoutes(), s.learnerRoutes())
}

func (s *Server) learnerRoutes() []Route {
	manage, consent := newel.ManageFamilies, newel.RecordConsent
	return []Route{
		{Method: http.MethodGet, Pattern: string(href.FamilyNewLearner), Needs: manage, Handle: s.newLearnerPage},
		{Method: http.MethodPost, Pattern: string(href.FamilyNewLearner), Needs: manage, Handle: s.postNewLearner},
		{Method: http.MethodGet, Pattern: string(href.Learner), Needs: newel.SeeLearner, Handle: s.learnerPage},
		{Method: http.MethodGet, Pattern: string(href.LearnerEdit), Needs: manage, Handle: s.editLearnerPage},
		{Method: http.MethodPost, Pattern: string(href.LearnerEdit), Needs: manage, Handle: s.postEditLearner},
		{Method: http.MethodGet, Pattern: string(href.LearnerCare), Needs: newel.DescribeCare, Handle: s.carePage},
		{Method: http.MethodPost, Pattern: string(href.LearnerCare), Needs: newel.DescribeCare, Handle: s.postCare},
		{Method: http.MethodGet, Pattern: string(href.LearnerConsents), Needs: consent, Handle: s.consentsPage},
		{Method: http.MethodPost, Pattern: string(href.LearnerConsents), Needs: consent, Handle: s.postConsent},
		{Method: http.MethodPost, Pattern: string(href.LearnerConsentWithdraw), Needs: consent, Handle: s.postWithdraw},
	}
}

func (s *Server) learnerPage(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	actor := mustActor(r)
	l, err := s.app.Learner(r.Context(), actor, id)
	if err != nil {
		return err
	}
	programs, err := s.learnerPrograms(r, l)
	if err != nil {
		return err
	}
	skills, err := s.app.LearnerSkills(r.Context(), actor, id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	p := say.LearnerPage(t, actor, l, skills)
	p.Programs = programs
	if p.Reviews, err = s.reviewsOf(r, l); err != nil {
		return err
	}
	return s.page(w, r, http.StatusOK, page{Title: l.Nickname, Section: "families"}, view.Learner(p))
}

func (s *Server) newLearnerPage(w http.ResponseWriter, r *http.Request) error {
	return s.showNewLearner(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showNewLearner(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return err
	}
	f, err := s.app.Family(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	p := view.LearnerFormPage{
		Form: s.formState(r, href.FamilyNewLearner.To(id), values, problems), Title: t.Text("families.learner_add"),
		Back: view.Link{Label: f.Name, Href: href.Family.To(id)},
	}
	return s.page(w, r, status, page{Title: p.Title, Section: "families"}, view.LearnerForm(p))
}

func learnerInput(values url.Values) app.LearnerInput {
	return app.LearnerInput{Nickname: values.Get("nickname"), BirthMonth: values.Get("birth_month")}
}

func (s *Server) postNewLearner(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	var to string
	if err == nil {
		to, err = s.app.AddLearner(r.Context(), mustActor(r), form, id, learnerInput(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showNewLearner(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) editLearnerPage(w http.ResponseWriter, r *http.Request) error {
	return s.showEditLearner(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showEditLearner(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	l, err := s.app.LearnerBasics(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if values == nil {
		values = url.Values{"nickname": {l.Nickname}}
		if !l.BirthMonth.IsZero() {
			values.Set("birth_month", l.BirthMonth.Time().Format("2006-01"))
		}
	}
	t := s.printer(r)
	p := view.LearnerFormPage{
		Form: s.formState(r, href.LearnerEdit.To(id), values, problems), Title: t.Text("learner.change"),
		Back: view.Link{Label: t.Text("families.back"), Href: href.Family.To(l.FamilyID)},
	}
	return s.page(w, r, status, page{Title: p.Title, Section: "families"}, view.LearnerForm(p))
}

func (s *Server) postEditLearner(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	var to string
	if err == nil {
		to, err = s.app.ChangeLearner(r.Context(), mustActor(r), form, id, learnerInput(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showEditLearner(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) carePage(w http.ResponseWriter, r *http.Request) error {
	return s.showCare(w, r, http.StatusOK, nil, nil)
}

// showCare shows the form as saved, or as typed. With StatusConflict it shows
// beside it what somebody else saved, and goes on from there.
func (s *Server) showCare(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	l, err := s.app.Learner(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	p := view.CarePage{Name: l.Nickname, Back: view.Link{Label: l.Nickname, Href: href.Learner.To(id)}}
	if values == nil {
		values = say.CareValues(l.Learner)
	}
	if status == http.StatusConflict {
		theirs := view.CareWords(t, l.Care)
		p.Theirs = &theirs
		values.Set("rev", strconv.Itoa(l.CareRev))
	}
	p.Form = s.formState(r, href.LearnerCare.To(id), values, problems)
	return s.page(w, r, status, page{Title: t.Text("care.alerts"), Section: "families"}, view.CareForm(p))
}

func careInput(v url.Values) app.CareInput {
	rev, err := strconv.Atoi(v.Get("rev"))
	if err != nil {
		rev = -1 // no revision at all: a conflict, and the form goes on from the saved one
	}
	return app.CareInput{Rev: rev, Care: newel.Care{
		Alerts: newel.Alerts{
			Asked: v.Get("asked") == "yes", Allergy: v.Get("allergy"), Choking: v.Get("choking"), Seizure: v.Get("seizure"), Mouthing: v.Get("mouthing"),
		},
		StopSigns: v.Get("stop_signs"), TouchAllowed: v.Get("touch_allowed") == "yes", HelpNotes: v.Get("help_notes"),
	}}
}

func (s *Server) postCare(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	var to string
	if err == nil {
		to, err = s.app.SaveCare(r.Context(), mustActor(r), form, id, careInput(values))
	}
	if errors.Is(err, newel.ErrConflict) {
		return s.showCare(w, r, http.StatusConflict, values, nil)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showCare(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}
