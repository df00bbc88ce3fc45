package httpd

import (
	"net/http"
	"strconv"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) programRoutes() []Route {
	return []Route{
		{Method: http.MethodPost, Pattern: href.Programs, Needs: newel.DraftProgram, Handle: s.post(s.beginProgram, s.showNewProgram)},
		{Method: http.MethodGet, Pattern: href.NewProgram, Needs: newel.DraftProgram, Handle: form(s.showNewProgram)},
		{Method: http.MethodGet, Pattern: string(href.Program), Needs: newel.SeeLibrary, Handle: at("program", s.program)},
		{Method: http.MethodPost, Pattern: string(href.ProgramRevise), Needs: newel.DraftProgram, Handle: postAt(s, "program", s.reviseProgram, nil)},
		{Method: http.MethodGet, Pattern: string(href.Draft), Needs: newel.DraftProgram, Handle: at("program", s.draft)},
		{Method: http.MethodPost, Pattern: string(href.Draft), Needs: newel.DraftProgram, Handle: at("program", s.saveDraft)},
		{Method: http.MethodGet, Pattern: string(href.DraftCriterion), Needs: newel.DraftProgram, Handle: at("program", s.criterion)},
		{Method: http.MethodGet, Pattern: string(href.DraftLadder), Needs: newel.DraftProgram, Handle: at("program", s.ladder)},
		{Method: http.MethodPost, Pattern: string(href.DraftLadder), Needs: newel.DraftProgram, Handle: postAt(s, "program", s.insertLadder, s.showLadder)},
	}
}

func (s *Server) showNewProgram(w http.ResponseWriter, r *http.Request, f sent) error {
	t := s.printer(r)
	m := view.NewProgramPage{
		T: t, Token: say.NewToken(),
		Title: view.Field{T: t, Name: "title", Label: t.Text("library.name"), Value: f.Get("title"), Error: f.problems["title"], Required: true},
		Area: view.Field{
			T: t, Name: "skill_area", Label: t.Text("library.area"), Hint: t.Text("library.area.hint"), Value: f.Get("skill_area"), Error: f.problems["skill_area"],
		},
	}
	return s.page(w, r, f.status(), page{Title: t.Text("library.write"), Section: "library", Notice: f.problems["form"]}, view.NewProgram(m))
}

func (s *Server) beginProgram(r *http.Request, f sent) (string, error) {
	return s.app.NewProgram(r.Context(), mustActor(r), f.token, app.ProgramInput{Title: f.Get("title"), SkillArea: f.Get("skill_area")})
}

func (s *Server) reviseProgram(r *http.Request, id newel.ProgramID, f sent) (string, error) {
	return s.app.BeginDraft(r.Context(), mustActor(r), f.token, id)
}

func (s *Server) program(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	actor := mustActor(r)
	n, _ := strconv.Atoi(r.URL.Query().Get("version"))
	v, err := s.programVersion(r, id, n)
	if err != nil {
		return err
	}
	m := say.ProgramPage(s.printer(r), v, actor.Can(newel.SeeLearner))
	m.Token, m.ArchiveToken = say.NewToken(), say.NewToken()
	m.Plain = href.InState(href.ProgramPlain.To(id), r.URL.Query().Get("version"))
	m.Here, m.Open = r.URL.RequestURI(), r.URL.Query().Get("steps") == "all"
	m.Archived, m.MayArchive, m.MayCopy = v.Program.ArchivedAt != nil, actor.Can(newel.PublishProgram), actor.Can(newel.DraftProgram)
	if mayDraft := actor.Can(newel.DraftProgram); mayDraft && v.HasDraft {
		m.Draft = &view.Link{Label: m.T.Text("read.draft"), Href: href.Draft.To(id)}
	} else if mayDraft && v.Version != nil {
		m.Revise = say.NewToken()
	}
	if err := s.programSkills(r, &m); err != nil {
		return err
	}
	return s.page(w, r, http.StatusOK, page{Title: m.Title, Section: "library"}, view.Program(m))
}

// programVersion returns the program at the requested version, or at its
// latest.
func (s *Server) programVersion(r *http.Request, id newel.ProgramID, n int) (app.ProgramView, error) {
	if n > 0 {
		return s.app.ProgramAt(r.Context(), mustActor(r), id, n)
	}
	return s.app.Program(r.Context(), mustActor(r), id)
}
