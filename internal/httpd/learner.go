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

// peopleRoutes lists the pages about people: staff, families and their
// learners.
func (s *Server) peopleRoutes() []Route {
	return slices.Concat(s.staffRoutes(), s.familyRoutes(), s.learnerRoutes())
}

func (s *Server) learnerRoutes() []Route {
	manage, consent := newel.ManageFamilies, newel.RecordConsent
	return []Route{
		{Method: http.MethodGet, Pattern: string(href.FamilyNewLearner), Needs: manage, Handle: formAt("family", s.showNewLearner)},
		{Method: http.MethodPost, Pattern: string(href.FamilyNewLearner), Needs: manage, Handle: postAt(s, "family", s.postNewLearner, s.showNewLearner)},
		{Method: http.MethodGet, Pattern: string(href.Learner), Needs: newel.SeeLearner, Handle: at("learner", s.learnerPage)},
		{Method: http.MethodGet, Pattern: string(href.LearnerEdit), Needs: manage, Handle: formAt("learner", s.showEditLearner)},
		{Method: http.MethodPost, Pattern: string(href.LearnerEdit), Needs: manage, Handle: postAt(s, "learner", s.postEditLearner, s.showEditLearner)},
		{Method: http.MethodGet, Pattern: string(href.LearnerCare), Needs: newel.DescribeCare, Handle: formAt("learner", s.showCare)},
		{Method: http.MethodPost, Pattern: string(href.LearnerCare), Needs: newel.DescribeCare, Handle: at("learner", s.postCare)},
		{Method: http.MethodGet, Pattern: string(href.LearnerConsents), Needs: consent, Handle: formAt("learner", s.consents)},
		{Method: http.MethodPost, Pattern: string(href.LearnerConsents), Needs: consent, Handle: postAt(s, "learner", s.giveConsent, s.consents)},
		{Method: http.MethodPost, Pattern: string(href.LearnerConsentWithdraw), Needs: consent, Handle: postAt(s, "learner", s.withdrawConsent, s.consentWithdrawal)},
	}
}

func (s *Server) learnerPage(w http.ResponseWriter, r *http.Request, id newel.LearnerID) error {
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

func (s *Server) showNewLearner(w http.ResponseWriter, r *http.Request, id newel.FamilyID, f sent) error {
	family, err := s.app.Family(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	p := view.LearnerFormPage{
		Form: s.formState(r, href.FamilyNewLearner.To(id), f), Title: t.Text("families.learner_add"),
		Back: view.Link{Label: family.Name, Href: href.Family.To(id)},
	}
	return s.page(w, r, f.status(), page{Title: p.Title, Section: "families"}, view.LearnerForm(p))
}

func learnerInput(values url.Values) app.LearnerInput {
	return app.LearnerInput{Nickname: values.Get("nickname"), BirthMonth: values.Get("birth_month")}
}

func (s *Server) postNewLearner(r *http.Request, id newel.FamilyID, f sent) (string, error) {
	return s.app.AddLearner(r.Context(), mustActor(r), f.token, id, learnerInput(f.Values))
}

func (s *Server) showEditLearner(w http.ResponseWriter, r *http.Request, id newel.LearnerID, f sent) error {
	l, err := s.app.LearnerBasics(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if f.Values == nil {
		f.Values = url.Values{"nickname": {l.Nickname}}
		if !l.BirthMonth.IsZero() {
			f.Set("birth_month", l.BirthMonth.Time().Format("2006-01"))
		}
	}
	t := s.printer(r)
	p := view.LearnerFormPage{
		Form: s.formState(r, href.LearnerEdit.To(id), f), Title: t.Text("learner.change"),
		Back: view.Link{Label: t.Text("families.back"), Href: href.Family.To(l.FamilyID)},
	}
	return s.page(w, r, f.status(), page{Title: p.Title, Section: "families"}, view.LearnerForm(p))
}

func (s *Server) postEditLearner(r *http.Request, id newel.LearnerID, f sent) (string, error) {
	return s.app.ChangeLearner(r.Context(), mustActor(r), f.token, id, learnerInput(f.Values))
}

func (s *Server) showCare(w http.ResponseWriter, r *http.Request, id newel.LearnerID, f sent) error {
	return s.showCareAs(w, r, f.status(), id, f)
}

// showCareAs shows the form as saved, or as typed. With StatusConflict it also
// shows what someone else has saved, and continues from that revision.
func (s *Server) showCareAs(w http.ResponseWriter, r *http.Request, status int, id newel.LearnerID, f sent) error {
	l, err := s.app.Learner(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	p := view.CarePage{Name: l.Nickname, Back: view.Link{Label: l.Nickname, Href: href.Learner.To(id)}}
	if f.Values == nil {
		f.Values = say.CareValues(l.Learner)
	}
	if status == http.StatusConflict {
		theirs := view.CareWords(t, l.Care)
		p.Theirs = &theirs
		f.Set("rev", strconv.Itoa(l.CareRev))
	}
	p.Form = s.formState(r, href.LearnerCare.To(id), f)
	return s.page(w, r, status, page{Title: t.Text("care.alerts"), Section: "families"}, view.CareForm(p))
}

func careInput(v url.Values) app.CareInput {
	rev, err := strconv.Atoi(v.Get("rev"))
	if err != nil {
		rev = -1 // a missing revision is a conflict, and the form continues from the saved one
	}
	return app.CareInput{Rev: rev, Care: newel.Care{
		Alerts: newel.Alerts{
			Asked: v.Get("asked") == "yes", Allergy: v.Get("allergy"), Choking: v.Get("choking"), Seizure: v.Get("seizure"), Mouthing: v.Get("mouthing"),
		},
		StopSigns: v.Get("stop_signs"), TouchAllowed: v.Get("touch_allowed") == "yes", HelpNotes: v.Get("help_notes"),
	}}
}

func (s *Server) postCare(w http.ResponseWriter, r *http.Request, id newel.LearnerID) error {
	f, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.SaveCare(r.Context(), mustActor(r), f.token, id, careInput(f.Values))
	}
	if errors.Is(err, newel.ErrConflict) {
		return s.showCareAs(w, r, http.StatusConflict, id, f)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		f.problems = problems
		return s.showCare(w, r, id, f)
	})
}
