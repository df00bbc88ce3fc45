package httpd

import (
	"net/http"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) placement(w http.ResponseWriter, r *http.Request, id newel.PlacementID) error {
	in := app.DecisionInput{Kind: newel.DecisionKind(r.URL.Query().Get("kind"))}
	return s.showPlacement(w, r, http.StatusOK, id, in, nil)
}

func (s *Server) showPlacement(w http.ResponseWriter, r *http.Request, status int, id newel.PlacementID, in app.DecisionInput, change func(*view.ProgressPage, reading.Progress)) error {
	actor, t := mustActor(r), s.printer(r)
	p, err := s.app.Progress(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := say.ProgressPage(t, p, say.LookOf(r.URL.Query()))
	m.Agreement = say.AgreementPart(t, p)
	m.Fidelity = say.FidelityPart(t, p, actor.Can(newel.Decide))
	m.Plan = say.PlanPart(t, p, actor.Can(newel.Decide))
	m.Stop = say.StopPart(t, p, in, actor.Can(newel.Decide))
	if actor.Can(newel.Decide) {
		say.AddOutcomeForms(t, p, m.Decisions)
	}
	if actor.Can(newel.Decide) && p.Open() {
		m.Form = say.DecideForm(t, p, in)
		m.Buttons = view.DecideButtons{
			Label: t.Text("decide.for", "learner", p.Learner.Nickname, "program", p.Version.Document.Title), Action: m.Form.Action,
			Token: say.NewToken(), After: p.Latest(), Acts: say.PageActs(t, p),
		}
	}
	if change != nil {
		change(&m, p)
	}
	title := t.Text("progress.title", "learner", p.Learner.Nickname, "program", p.Version.Document.Title)
	return s.page(w, r, status, page{Title: title, Section: "caseload"}, view.Progress(m))
}

func (s *Server) familyProgress(w http.ResponseWriter, r *http.Request, id newel.PlacementID) error {
	p, err := s.app.Progress(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := say.PlainProgress(t, p)
	return s.page(w, r, http.StatusOK, page{Title: m.Heading, Kind: caregiverLayout}, view.FamilyProgress(m))
}
