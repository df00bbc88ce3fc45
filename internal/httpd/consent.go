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

// consentForms holds the submitted forms of the consents page: the one that
// gives a consent, and the one that withdraws one.
type consentForms struct {
	giving      sent
	withdrawing newel.ConsentID // consent of the withdrawal form
	withdrawal  sent
}

func (s *Server) consents(w http.ResponseWriter, r *http.Request, id newel.LearnerID, f sent) error {
	return s.showConsents(w, r, f.status(), id, consentForms{giving: f})
}

func (s *Server) consentWithdrawal(w http.ResponseWriter, r *http.Request, id newel.LearnerID, f sent) error {
	consent, err := pathID[newel.ConsentID](r, "consent")
	if err != nil {
		return err
	}
	return s.showConsents(w, r, f.status(), id, consentForms{withdrawing: consent, withdrawal: f})
}

func (s *Server) showConsents(w http.ResponseWriter, r *http.Request, status int, id newel.LearnerID, forms consentForms) error {
	c, err := s.app.Consents(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	if forms.giving.Values == nil {
		forms.giving.Values = url.Values{"given_on": {c.Today.String()}}
	}
	p := say.ConsentPage(t, c, s.formState(r, href.LearnerConsents.To(id), forms.giving))
	given := 0
	for i, consent := range c.Consents {
		if !consent.WithdrawnOn.IsZero() {
			continue
		}
		given++
		form := s.formState(r, href.LearnerConsentWithdraw.To(id, consent.ID), sent{Values: url.Values{"withdrawn_on": {c.Today.String()}}})
		if consent.ID == forms.withdrawing {
			form.Values, form.Errors = forms.withdrawal.Values, forms.withdrawal.problems
		}
		p.Consents[i].Withdraw = &form
	}
	p.Open = given < len(newel.ConsentKinds) || forms.giving.problems != nil
	return s.page(w, r, status, page{Title: t.Text("consent.part"), Section: "families"}, view.Consents(p))
}

func (s *Server) giveConsent(r *http.Request, id newel.LearnerID, f sent) (string, error) {
	in := app.ConsentInput{Kind: f.Get("kind"), GivenOn: f.Get("given_on"), GivenBy: f.Get("given_by")}
	return s.app.GiveConsent(r.Context(), mustActor(r), f.token, id, in)
}

func (s *Server) withdrawConsent(r *http.Request, _ newel.LearnerID, f sent) (string, error) {
	id, err := pathID[newel.ConsentID](r, "consent")
	if err != nil {
		return "", err
	}
	return s.app.WithdrawConsent(r.Context(), mustActor(r), f.token, id, f.Get("withdrawn_on"))
}
