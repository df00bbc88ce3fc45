package httpd

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"newel/internal/app"
	"newel/internal/chart"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
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

// newToken is the hidden token of a form about to be shown.
func newToken() string { return app.NewForm().Token.String() }

// dayOf is the date of a moment in the zone of the server's own clinic pages;
// a day is all that is told of it.
func dayOf(t time.Time) newel.Day { return newel.DayOf(t, time.UTC) }

func (s *Server) newProgram(w http.ResponseWriter, r *http.Request) error {
	return s.showNewProgram(w, r, http.StatusOK, app.ProgramInput{}, nil)
}

func (s *Server) showNewProgram(w http.ResponseWriter, r *http.Request, status int, in app.ProgramInput, problems map[string]string) error {
	t := s.printer(r)
	m := view.NewProgramPage{
		T: t, Token: newToken(),
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
	m := programPage(s.printer(r), v, actor.Can(newel.SeeLearner))
	m.Token, m.ArchiveToken = newToken(), newToken()
	m.Plain = href.InState(href.ProgramPlain.To(id), r.URL.Query().Get("version"))
	m.Here, m.Open = r.URL.RequestURI(), r.URL.Query().Get("steps") == "all"
	m.Archived, m.MayArchive, m.MayCopy = v.Program.ArchivedAt != nil, actor.Can(newel.PublishProgram), actor.Can(newel.DraftProgram)
	if mayDraft := actor.Can(newel.DraftProgram); mayDraft && v.HasDraft {
		m.Draft = &view.Link{Label: m.T.Text("read.draft"), Href: href.Draft.To(id)}
	} else if mayDraft && v.Version != nil {
		m.Revise = newToken()
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

func programPage(t *message.Printer, v app.ProgramView, learners bool) view.ProgramPage {
	m := view.ProgramPage{T: t, Title: v.Program.Title, Crumb: v.Program.SkillArea, ID: v.Program.ID}
	if v.Version == nil {
		return m
	}
	m.Document, m.Number = &v.Version.Document, v.Version.Number
	m.Published = t.Text("read.published_on", "day", dayOf(v.Version.PublishedAt))
	for _, version := range v.Versions {
		if version.ID == v.Version.ID && version.PublishedBy != "" {
			m.Published = t.Text("read.published", "day", dayOf(v.Version.PublishedAt), "who", version.PublishedBy)
		}
	}
	if len(v.Versions) > 0 && v.Versions[0].Number > m.Number {
		m.Latest = v.Versions[0].Number
	}
	if learners {
		for _, l := range v.Learners {
			m.Learners = append(m.Learners, programLearner(t, l))
		}
	}
	return m
}

func programLearner(t *message.Printer, l newel.ProgramLearner) view.ProgramLearner {
	out := view.ProgramLearner{
		Name: l.Learner, Href: href.Placement.To(l.PlacementID), At: strings.TrimSpace(l.Role + " " + l.StepLabel), StepKey: l.StepKey,
	}
	steps, climbed := make([]program.StepRow, len(l.Steps)), map[string]bool{}
	for i, s := range l.Steps {
		steps[i] = program.StepRow{Key: s.Key, Label: s.Label, Name: s.Name, Helped: s.Helped}
	}
	for _, key := range l.Climbed {
		climbed[key] = true
	}
	out.Stair = stairOf(t, steps, l.StepKey, climbed)
	return out
}

func stepRows(strand program.Strand) []program.StepRow {
	rows := make([]program.StepRow, len(strand.Steps))
	for i, s := range strand.Steps {
		rows[i] = program.StepRow{Key: s.Key, Label: s.Label, Name: s.Name, Helped: s.PlannedHelp != ""}
	}
	return rows
}

// stairOf draws one strand. Without knowing what was climbed, the steps
// before the one stood on count as climbed.
func stairOf(t *message.Printer, steps []program.StepRow, at string, climbed map[string]bool) view.Stair {
	var s view.Stair
	here := -1
	for i, step := range steps {
		if step.Key == at {
			here = i
		}
	}
	done := 0
	for i, step := range steps {
		state := chart.ToCome
		switch {
		case i == here:
			state = chart.Current
		case climbed[step.Key] || climbed == nil && i < here:
			state = chart.Climbed
			done++
		}
		s.Breakdown.First = append(s.Breakdown.First, chart.Step{State: state, Help: step.Helped, Label: step.Label})
	}
	switch {
	case here >= 0:
		s.Name = t.Text("stair.name", "n", here+1, "of", len(steps), "step", steps[here].Label)
	case done == len(steps) && done > 0:
		s.Name = t.Text("stair.done", "of", len(steps))
	default:
		s.Name = t.Text("stair.begun_not", "of", len(steps))
	}
	return s
}
