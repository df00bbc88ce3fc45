package httpd

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/view"
)

// readingRoutes are pages on which nothing is changed: a program as families
// read it, one learner's copy of it, and rules tried on past sessions.
func (s *Server) readingRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: string(href.ProgramPlain), Needs: newel.SeeLibrary, Handle: s.plainly},
		{Method: http.MethodGet, Pattern: string(href.PlacementProgram), Needs: newel.SeeLearner, Handle: s.learnerCopy},
		{Method: http.MethodGet, Pattern: string(href.PlacementPlain), Needs: newel.SeeLearner, Handle: s.learnerPlainly},
		{Method: http.MethodGet, Pattern: string(href.StepPhone), Needs: newel.SeeLibrary, Handle: s.phonePreview},
		{Method: http.MethodGet, Pattern: string(href.StepReplay), Needs: newel.DraftProgram, Handle: s.replay},
		{Method: http.MethodGet, Pattern: string(href.PlacementReplay), Needs: newel.SeeLearner, Handle: s.learnerReplay},
	}
}

// plainly is a program as families read it. The query names the version, or
// the draft.
func (s *Server) plainly(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	state := r.URL.Query().Get("version")
	v, err := s.app.ProgramState(r.Context(), mustActor(r), id, state)
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := view.PlainPage{
		T: t, Title: v.Program.Title, Document: &v.Document, Of: stateText(t, v.Number),
		Back: view.Link{Label: v.Program.Title, Href: href.InState(href.Program.To(id), state)},
	}
	m.Phone = func(step string) string { return href.InState(href.StepPhone.To(id, step), state) }
	if v.Number == 0 {
		m.Back.Href, m.Title = href.Draft.To(id), v.Document.Title
	}
	return s.page(w, r, http.StatusOK, page{Title: m.Title, Section: "library"}, view.PlainProgram(m))
}

// phonePreview shows a step as a family's phone will, drawn by what the phone
// itself runs.
func (s *Server) phonePreview(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
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
		Shell: view.PhoneShell{Page: view.Page{Title: t.Text("preview.title", "program", v.Document.Title), Lang: t.Language(), Dir: t.Dir(), Assets: s.asset, Words: words(t)}, T: t},
		Back:  view.Link{Label: v.Document.Title, Href: href.InState(href.ProgramPlain.To(id), state)},
		Step:  v.Kit.StepLabel + " " + v.Kit.StepName, Of: stateText(t, v.Number), Kit: string(kit), Offer: string(offer),
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

func stateText(t *message.Printer, number int) string {
	if number == 0 {
		return t.Text("plainly.draft")
	}
	return t.Text("plainly.version", "n", number)
}

// copyOf gives one learner's copy of a program.
func (s *Server) copyOf(r *http.Request) (v app.LearnerCopy, err error) {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return v, err
	}
	return s.app.LearnerCopy(r.Context(), mustActor(r), id)
}

// learnerCopy is a program as one learner is taught it, with what is their own
// put over it and marked.
func (s *Server) learnerCopy(w http.ResponseWriter, r *http.Request) error {
	v, err := s.copyOf(r)
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := view.ProgramPage{
		T: t, Title: v.Program.Title, Crumb: v.Program.SkillArea, Document: &v.Version.Document, Number: v.Version.Number,
		Published: t.Text("read.published_on", "day", dayOf(v.Version.PublishedAt)), ID: v.Program.ID,
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
		T: t, Title: v.Program.Title, Document: &v.Version.Document, Of: stateText(t, v.Version.Number), For: v.Learner.Nickname,
		Own: v.Assignment.Overrides, Back: view.Link{Label: v.Learner.Nickname, Href: href.Placement.To(v.Placement.ID)},
	}
	return s.page(w, r, http.StatusOK, page{Title: m.Title + ", " + v.Learner.Nickname, Section: "families"}, view.PlainProgram(m))
}

// ownOf says what of one step is written for the learner alone, as a sentence
// behind others; nothing if nothing is.
func ownOf(t *message.Printer, d *program.Document, own map[string]newel.StepOverride, key string) string {
	if what := ownWhat(t, own[key]); what != "" && d.StepTitle(key) != "" {
		return " " + t.Text("read.own_one", "what", what)
	}
	return ""
}

// ownWhat lists the parts of a step that a learner has of their own.
func ownWhat(t *message.Printer, o newel.StepOverride) string {
	var parts []string
	for _, part := range []struct {
		field string
		is    bool
	}{{"say", o.Say != nil}, {"criterion", o.Criterion != nil}, {"step_back", o.StepBack != nil}, {"trials", o.Trials != nil}} {
		if part.is {
			parts = append(parts, t.Text("read.own_"+part.field))
		}
	}
	return t.List(parts)
}

// ownLines says of every step of a learner's program what is their own.
func ownLines(t *message.Printer, p app.LearnerProgram) []string {
	var lines []string
	for _, strand := range p.Strands {
		for _, step := range strand.Steps {
			if what := ownWhat(t, p.Overrides[step.Key]); what != "" {
				lines = append(lines, t.Text("read.own_step", "step", strings.TrimSpace(strand.Role+" "+step.Label), "what", what))
			}
		}
	}
	return lines
}
