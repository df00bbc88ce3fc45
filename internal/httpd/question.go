package httpd

import (
	"errors"
	"net/http"
	"net/url"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

// askAbout lists the suggested questions that a page offers.
var askAbout = map[string]bool{"planned": true, "willing": true, "reward": true, "before": true, "idle": true}

func (s *Server) ask(w http.ResponseWriter, r *http.Request, id newel.PlacementID) error {
	first := ""
	if about := r.URL.Query().Get("about"); askAbout[about] {
		first = s.printer(r).Text("question.about_" + about)
	}
	return s.showAsk(w, r, id, sent{Values: url.Values{"question": {first}}})
}

func (s *Server) postAsk(r *http.Request, id newel.PlacementID, f sent) (string, error) {
	return s.app.Ask(r.Context(), mustActor(r), f.token, id, f.Get("question"))
}

func (s *Server) showAsk(w http.ResponseWriter, r *http.Request, id newel.PlacementID, f sent) error {
	t := s.printer(r)
	p, err := s.app.Progress(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	asked, err := s.app.Asked(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	m := view.AskPage{
		T: t, Up: say.PlacementCrumbs(t, p), Crumb: p.Step.Label, Action: href.PlacementAsk.To(id), Token: say.NewToken(),
		Title: t.Text("question.title", "family", p.Family.Name), Lead: t.Text("question.lead"), Asked: say.AskedLines(t, asked),
		Question: view.Field{T: t, Name: "question", Label: t.Text("question.label"), Hint: t.Text("question.hint"), Value: f.Get("question"), Error: f.problems["question"] + f.problems["form"], Required: true},
	}
	return s.page(w, r, f.status(), page{Title: m.Title, Section: "caseload"}, view.Ask(m))
}

func (s *Server) questions(w http.ResponseWriter, r *http.Request) error {
	return s.showQuestions(w, r, http.StatusOK, "", "", "")
}

func (s *Server) answerQuestion(w http.ResponseWriter, r *http.Request, id newel.QuestionID) error {
	f, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.Answer(r.Context(), mustActor(r), f.token, id, f.Get("answer"))
	}
	if errors.Is(err, newel.ErrConflict) { // someone else in the family was first
		return see(w, r, href.Questions)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showQuestions(w, r, http.StatusUnprocessableEntity, id.String(), f.Get("answer"), problems["answer"]+problems["form"])
	})
}

func (s *Server) showQuestions(w http.ResponseWriter, r *http.Request, status int, id, typed, wrong string) error {
	t := s.printer(r)
	list, err := s.app.OpenQuestions(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	m := say.QuestionsPage(t, list, id, typed, wrong)
	answered, err := s.app.AnsweredQuestions(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	m.Answered = say.AskedLines(t, answered)
	return s.page(w, r, status, page{Title: m.Title, Kind: caregiverLayout}, view.Questions(m))
}
