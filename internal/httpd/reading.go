package httpd

import (
	"encoding/json"
	"fmt"
	"net/http"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

// readingRoutes lists the read-only pages: a program as families read it, one
// learner's copy of it, and rules tried on past sessions.
func (s *Server) readingRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: string(href.ProgramPlain), Needs: newel.SeeLibrary, Handle: at("program", s.plainly)},
		{Method: http.MethodGet, Pattern: string(href.PlacementProgram), Needs: newel.SeeLearner, Handle: s.learnerCopy},
		{Method: http.MethodGet, Pattern: string(href.PlacementPlain), Needs: newel.SeeLearner, Handle: s.learnerPlainly},
		{Method: http.MethodGet, Pattern: string(href.StepPhone), Needs: newel.SeeLibrary, Handle: at("program", s.phonePreview)},
		{Method: http.MethodGet, Pattern: string(href.StepReplay), Needs: newel.DraftProgram, Handle: at("program", s.replay)},
		{Method: http.MethodGet, Pattern: string(href.PlacementReplay), Needs: newel.SeeLearner, Handle: at("placement", s.learnerReplay)},
	}
}

// plainly shows a program as families read it. The query names the version, or
// the draft.
func (s *Server) plainly(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	state := r.URL.Query().Get("version")
	v, err := s.app.ProgramState(r.Context(), mustActor(r), id, state)
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := view.PlainPage{
		T: t, Title: v.Program.Title, Document: &v.Document, Of: say.StateText(t, v.Number),
		Back: view.Link{Label: v.Program.Title, Href: href.InState(href.Program.To(id), state)},
	}
	m.Phone = func(step string) string { return href.InState(href.StepPhone.To(id, step), state) }
	if v.Number == 0 {
		m.Back.Href, m.Title = href.Draft.To(id), v.Document.Title
	}
	return s.page(w, r, http.StatusOK, page{Title: m.Title, Section: "library"}, view.PlainProgram(m))
}

// phonePreview shows a step as a family's phone will, rendered by the phone's
// own code.
func (s *Server) phonePreview(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	t, state := s.printer(r), r.URL.Query().Get("version")
	v, err := s.app.Preview(r.Context(), mustActor(r), id, r.PathValue("step"), state, t.Text("preview.child"))
	if err != nil {
		return err
	}
	kit, err := json.Marshal(v.Kit)
	if err != nil {
		return fmt.Errorf("kit of a preview: %w", err)
	}
	offer, err := json.Marshal(v.Offer)
	if err != nil {
		return fmt.Errorf("offer of a preview: %w", err)
	}
	m := view.PhonePreview{
		Shell: view.PhoneShell{Page: view.Page{Title: t.Text("preview.title", "program", v.Document.Title), Lang: t.Language(), Dir: t.Dir(), Assets: s.asset, T: t}, T: t},
		Back:  view.Link{Label: v.Document.Title, Href: href.InState(href.ProgramPlain.To(id), state)},
		Step:  v.Kit.StepLabel + " " + v.Kit.StepName, Of: say.StateText(t, v.Number), Kit: string(kit), Offer: string(offer),
	}
	for _, strand := range v.Document.Strands {
		for _, step := range strand.Steps {
			link := view.Link{Label: v.Document.StepTitle(step.Key), Href: href.InState(href.StepPhone.To(id, step.Key), state)}
			if step.Key == r.PathValue("step") {
				link.Href = ""
			}
			m.Steps = append(m.Steps, link)
		}
	}
	return s.render(w, r, http.StatusOK, view.Preview(m))
}

// copyOf returns one learner's copy of a program.
func (s *Server) copyOf(r *http.Request) (v app.LearnerCopy, err error) {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return v, err
	}
	return s.app.LearnerCopy(r.Context(), mustActor(r), id)
}

// learnerCopy shows a program with one learner's changes, which are marked.
func (s *Server) learnerCopy(w http.ResponseWriter, r *http.Request) error {
	v, err := s.copyOf(r)
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := view.ProgramPage{
		T: t, Title: v.Program.Title, Crumb: v.Program.SkillArea, Document: &v.Version.Document, Number: v.Version.Number,
		Published: t.Text("read.published_on", "day", say.DayOf(v.Version.PublishedAt)), ID: v.Program.ID,
		Here: r.URL.RequestURI(), Open: r.URL.Query().Get("steps") == "all", Own: v.Assignment.Overrides,
		For: &view.Link{Label: v.Learner.Nickname, Href: href.Placement.To(v.Placement.ID)}, Plain: href.PlacementPlain.To(v.Placement.ID),
	}
	return s.page(w, r, http.StatusOK, page{Title: m.Title + ", " + v.Learner.Nickname, Section: "families"}, view.Program(m))
}

func (s *Server) learnerPlainly(w http.ResponseWriter, r *http.Request) error {
	v, err := s.copyOf(r)
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := view.PlainPage{
		T: t, Title: v.Program.Title, Document: &v.Version.Document, Of: say.StateText(t, v.Version.Number), For: v.Learner.Nickname,
		Own: v.Assignment.Overrides, Back: view.Link{Label: v.Learner.Nickname, Href: href.Placement.To(v.Placement.ID)},
	}
	return s.page(w, r, http.StatusOK, page{Title: m.Title + ", " + v.Learner.Nickname, Section: "families"}, view.PlainProgram(m))
}
