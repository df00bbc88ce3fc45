package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

// consentForms is what the page of consents shows beside what is saved: the
// form that gives one, and the form that withdraws one, as they were sent.
type consentForms struct {
	values           url.Values // of the form that gives
	problems         map[string]string
	withdrawing      newel.ConsentID // the consent of the form that withdraws
	withdrawn        url.Values
	withdrawProblems map[string]string
}

func (s *Server) consentsPage(w http.ResponseWriter, r *http.Request) error {
	return s.showConsents(w, r, http.StatusOK, consentForms{})
}

func (s *Server) showConsents(w http.ResponseWriter, r *http.Request, status int, sent consentForms) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	c, err := s.app.Consents(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	if sent.values == nil {
		sent.values = url.Values{"given_on": {c.Today.String()}}
	}
	p := say.ConsentPage(t, c, s.formState(r, href.LearnerConsents.To(id), sent.values, sent.problems))
	standing := 0
	for i, consent := range c.Consents {
		if !consent.WithdrawnOn.IsZero() {
			continue
		}
		standing++
		form := s.formState(r, href.LearnerConsentWithdraw.To(id, consent.ID), url.Values{"withdrawn_on": {c.Today.String()}}, nil)
		if consent.ID == sent.withdrawing {
			form.Values, form.Errors = sent.withdrawn, sent.withdrawProblems
		}
		p.Consents[i].Withdraw = &form
	}
	p.Open = standing < len(newel.ConsentKinds) || sent.problems != nil
	return s.page(w, r, status, page{Title: t.Text("consent.part"), Section: "families"}, view.Consents(p))
}

func (s *Server) postConsent(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	var to string
	if err == nil {
		in := app.ConsentInput{Kind: values.Get("kind"), GivenOn: values.Get("given_on"), GivenBy: values.Get("given_by")}
		to, err = s.app.GiveConsent(r.Context(), mustActor(r), form, id, in)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showConsents(w, r, http.StatusUnprocessableEntity, consentForms{values: values, problems: problems})
	})
}

func (s *Server) postWithdraw(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ConsentID](r, "consent")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	var to string
	if err == nil {
		to, err = s.app.WithdrawConsent(r.Context(), mustActor(r), form, id, values.Get("withdrawn_on"))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showConsents(w, r, http.StatusUnprocessableEntity, consentForms{withdrawing: id, withdrawn: values, withdrawProblems: problems})
	})
}
