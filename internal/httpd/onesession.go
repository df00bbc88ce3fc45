package httpd

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/recording"
	"newel/internal/say"
	"newel/internal/view"
)

// sessionPage shows one recording to staff.
func (s *Server) sessionPage(w http.ResponseWriter, r *http.Request) error {
	return s.showSession(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showSession(w http.ResponseWriter, r *http.Request, status int, typed url.Values, problems map[string]string) error {
	id, err := pathID[newel.RecordingID](r, "recording")
	if err != nil {
		return err
	}
	data, err := s.app.RecordingPage(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	action := href.RecordingAmend.To(id)
	m := say.SessionPage(s.printer(r), data)
	m.Form = s.formState(r, action, typed, problems)
	return s.page(w, r, status, page{Title: m.Title, Section: "caseload"}, view.Session(m))
}

// postAmendment takes a correction, what becomes of something beside the
// session, or the taking back of a correction.
func (s *Server) postAmendment(w http.ResponseWriter, r *http.Request) error {
	values, form, err := readForm(r)
	if err != nil {
		return err
	}
	id, err := pathID[newel.RecordingID](r, "recording")
	if err != nil {
		return err
	}
	actor := mustActor(r)
	data, err := s.app.RecordingPage(r.Context(), actor, id)
	if err != nil {
		return err
	}
	change, err := changeFrom(values, data)
	to := ""
	if err == nil {
		to, err = s.app.Amend(r.Context(), actor, form, app.AmendInput{Recording: id, Change: change, Reason: values.Get("reason")})
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showSession(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

// changeFrom reads which change a form asks for.
func changeFrom(values url.Values, data app.RecordingPage) (recording.Change, error) {
	switch values.Get("what") {
	case "join":
		return recording.Join(recording.Ref(values.Get("ref"))), nil
	case "set_aside":
		return recording.SetAside(recording.Ref(values.Get("ref"))), nil
	case "undo":
		id, err := newel.ParseID[newel.AmendmentID](values.Get("undo"))
		return recording.Undo(id), err
	}
	return correctionFrom(values, data)
}

func correctionFrom(values url.Values, data app.RecordingPage) (recording.Change, error) {
	if values.Get("n") == "session" {
		return recording.VoidSession(), nil
	}
	if values.Get("n") == "count_it" {
		return recording.SetField("unfit", []byte("[]"))
	}
	invalid := &newel.Invalid{}
	n, err := strconv.Atoi(values.Get("n"))
	at := slices.IndexFunc(data.View.Trials, func(t recording.Trial) bool { return t.N == n })
	if err != nil || at < 0 {
		invalid.Add("n", "onesession.bad_trial")
	}
	what := values.Get("answer")
	if what == "void" && at >= 0 {
		return recording.VoidTrial(n), invalid.OrNil()
	}
	for _, choice := range say.AnswerChoices(data) {
		if choice.Value == what && at >= 0 {
			// What is not asked for stays as it was.
			answer := choice.Answer
			if was := data.View.Trials[at].Answer; was != nil {
				answer.Target, answer.Choices, answer.Position = was.Target, was.Choices, was.Position
			}
			return recording.GiveAnswer(n, answer), nil
		}
	}
	if at >= 0 || what == "" {
		invalid.Add("answer", "onesession.bad_answer")
	}
	return recording.Change{}, invalid.OrNil()
}

func (s *Server) quarantinePage(w http.ResponseWriter, r *http.Request) error {
	return s.showQuarantine(w, r, http.StatusOK, "")
}

func (s *Server) showQuarantine(w http.ResponseWriter, r *http.Request, status int, wrong string) error {
	held, err := s.app.Quarantine(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := view.QuarantinePage{T: t, Wrong: wrong}
	for _, h := range held {
		m.Held = append(m.Held, say.HeldLine(t, h))
	}
	return s.page(w, r, status, page{Title: t.Text("held.title"), Section: "caseload"}, view.Quarantine(m))
}

func (s *Server) postQuarantine(w http.ResponseWriter, r *http.Request) error {
	values, form, err := readForm(r)
	if err != nil {
		return err
	}
	in := app.SettleInput{TakeIn: values.Get("what") == "take_in"}
	if in.Account, err = pathID[newel.AccountID](r, "account"); err != nil {
		return err
	}
	if in.Recording, err = pathID[newel.RecordingID](r, "recording"); err != nil {
		return err
	}
	to, err := s.app.Settle(r.Context(), mustActor(r), form, in)
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showQuarantine(w, r, http.StatusUnprocessableEntity, problems["take_in"])
	})
}
