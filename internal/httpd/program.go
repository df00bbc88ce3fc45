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
		{Method: http.MethodPost, Pattern: href.Programs, Needs: newel.DraftProgram, Handle: s.beginProgram},
		{Method: http.MethodGet, Pattern: href.NewProgram, Needs: newel.DraftProgram, Handle: s.newProgram},
		{Method: http.MethodGet, Pattern: string(href.Program), Needs: newel.SeeLibrary, Handle: s.program},
		{Method: http.MethodPost, Pattern: string(href.ProgramRevise), Needs: newel.DraftProgram, Handle: s.reviseProgram},
		{Method: http.MethodGet, Pattern: string(href.Draft), Needs: newel.DraftProgram, Handle: s.draft},
		{Method: http.MethodPost, Pattern: string(href.Draft), Needs: newel.DraftProgram, Handle: s.saveDraft},
		{Method: http.MethodGet, Pattern: string(href.DraftCriterion), Needs: newel.DraftProgram, Handle: s.criterion},
		{Method: http.MethodGet, Pattern: string(href.DraftLadder), Needs: newel.DraftProgram, Handle: s.ladder},
		{Method: http.MethodPost, Pattern: string(href.DraftLadder), Needs: newel.DraftProgram, Handle: s.insertLadder},
	}
}

func (s *Server) newProgram(w http.ResponseWriter, r *http.Request) error {
	return s.showNewProgram(w, r, http.StatusOK, app.ProgramInput{}, nil)
}

func (s *Server) showNewProgram(w http.ResponseWriter, r *http.Request, status int, in app.ProgramInput, problems map[string]string) error {
	t := s.printer(r)
	m := view.NewProgramPage{
		T: t, Token: say.NewToken(),
		Title: view.Field{Name: "title", Label: t.Text("library.name"), Value: in.Title, Error: problems["title"], Required: true, Words: view.WordsIn(t)},
		Area: view.Field{
			Name: "skill_area", Label: t.Text("library.area"), Hint: t.Text("library.area.hint"), Value: in.SkillArea, Error: problems["skill_area"], Words: view.WordsIn(t),
		},
	}
	return s.page(w, r, status, page{Title: t.Text("library.write"), Section: "library", Notice: problems["form"]}, view.NewProgram(m))
}

func (s *Server) beginProgram(w http.ResponseWriter, r *http.Request) error {
	values, form, err := readForm(r)
	in := app.ProgramInput{Title: values.Get("title"), SkillArea: values.Get("skill_area")}
	var location string
	if err == nil {
		location, err = s.app.NewProgram(r.Context(), mustActor(r), form, in)
	}
	if problems, invalid := problemTexts(s.printer(r), err); invalid {
		return s.showNewProgram(w, r, http.StatusUnprocessableEntity, in, problems)
	}
	if err != nil {
		return err
	}
	return see(w, r, location)
}

func (s *Server) reviseProgram(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	_, form, err := readForm(r)
	if err != nil {
		return err
	}
	location, err := s.app.BeginDraft(r.Context(), mustActor(r), form, id)
	if err != nil {
		return err
	}
	return see(w, r, location)
}

func (s *Server) program(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
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

// programVersion gives the program as its latest version has it, or as the one
// asked for.
func (s *Server) programVersion(r *http.Request, id newel.ProgramID, n int) (app.ProgramView, error) {
	if n > 0 {
		return s.app.ProgramAt(r.Context(), mustActor(r), id, n)
	}
	return s.app.Program(r.Context(), mustActor(r), id)
}
