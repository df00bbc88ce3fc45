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

// showSession shows one recording to staff.
func (s *Server) showSession(w http.ResponseWriter, r *http.Request, id newel.RecordingID, f sent) error {
	data, err := s.app.RecordingPage(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	m := say.SessionPage(s.printer(r), data)
	m.Form = s.formState(r, href.RecordingAmend.To(id), f)
	return s.page(w, r, f.status(), page{Title: m.Title, Section: "caseload", Notice: f.problems["form"]}, view.Session(m))
}

// amend submits a correction, a decision about an extra entry, or the undoing
// of a correction.
func (s *Server) amend(r *http.Request, id newel.RecordingID, f sent) (string, error) {
	actor := mustActor(r)
	data, err := s.app.RecordingPage(r.Context(), actor, id)
	if err != nil {
		return "", err
	}
	change, err := changeFrom(f.Values, data)
	if err != nil {
		return "", err
	}
	return s.app.Amend(r.Context(), actor, f.token, app.AmendInput{Recording: id, Change: change, Reason: f.Get("reason")})
}

// changeFrom returns the change that a form requests.
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
			// Fields missing from the form keep their values.
			answer := choice.Answer
			if was := data.View.Trials[at].Answer; was != nil {
				answer = was.Corrected(answer.Outcome, answer.Help)
			}
			return recording.GiveAnswer(n, answer), nil
		}
	}
	if at >= 0 || what == "" {
		invalid.Add("answer", "onesession.bad_answer")
	}
	return recording.Change{}, invalid.OrNil()
}

func (s *Server) showQuarantine(w http.ResponseWriter, r *http.Request, f sent) error {
	quarantined, err := s.app.Quarantine(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := view.QuarantinePage{T: t, Wrong: f.problems["take_in"] + f.problems["form"]}
	for _, h := range quarantined {
		m.Sessions = append(m.Sessions, say.QuarantinedLine(t, h))
	}
	return s.page(w, r, f.status(), page{Title: t.Text("held.title"), Section: "caseload"}, view.Quarantine(m))
}

func (s *Server) settle(r *http.Request, f sent) (string, error) {
	account, err := pathID[newel.AccountID](r, "account")
	if err != nil {
		return "", err
	}
	id, err := pathID[newel.RecordingID](r, "recording")
	if err != nil {
		return "", err
	}
	in := app.SettleInput{Account: account, Recording: id, Accept: f.Get("what") == "take_in"}
	return s.app.Settle(r.Context(), mustActor(r), f.token, in)
}
