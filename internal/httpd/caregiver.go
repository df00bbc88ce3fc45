package httpd

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"newel/internal/app"
	"newel/internal/chart"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
)

func (s *Server) caregiverRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: "/today", Needs: newel.TeachToday, Handle: s.todayPage},
		{Method: http.MethodPost, Pattern: "/assignments/{assignment}/talked", Needs: newel.TeachToday, Handle: s.postTalked},
		{Method: http.MethodGet, Pattern: "/teach/{placement}", Needs: newel.RecordSession, Handle: s.teachPage},
		{Method: http.MethodGet, Pattern: "/record/{placement}", Needs: newel.RecordSession, Handle: s.recorderPage},
		{Method: http.MethodGet, Pattern: "/kits/{placement}", Needs: newel.RecordSession, Handle: s.kit},
	}
}

func (s *Server) todayPage(w http.ResponseWriter, r *http.Request) error {
	today, err := s.app.Today(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := view.TodayPage{T: t, Outbox: s.outbox(r), Day: today.Day}
	for _, l := range today.Learners {
		m.Learners = append(m.Learners, todayLearner(t, l))
	}
	return s.page(w, r, http.StatusOK, page{Title: t.Text("today.title"), Kind: caregiverLayout}, view.Today(m))
}

func (s *Server) outbox(r *http.Request) view.Outbox {
	return view.Outbox{T: s.printer(r), Account: mustActor(r).Account.String()}
}

func todayLearner(t *message.Printer, l app.TodayLearner) view.TodayLearner {
	out := view.TodayLearner{
		ID: l.Learner.ID.String(), Name: l.Learner.Nickname, Signs: strings.TrimSuffix(l.Learner.Care.StopSigns, "."),
		Alerts: view.AlertLines(t, l.Learner.Care.Alerts),
	}
	if l.Next != nil {
		card := todayCard(t, *l.Next)
		out.Next, out.Note, out.NoteBy = &card, l.Next.Note, l.Next.NoteBy
	}
	for _, other := range l.Others {
		out.Others = append(out.Others, todayCard(t, other))
	}
	for _, rest := range l.Resting {
		out.Resting = append(out.Resting, view.TodayRest{
			Title: rest.Document.Title, Action: "/assignments/" + rest.AssignmentID.String() + "/talked",
			Token: app.NewForm().Token.String(), Teach: "/teach/" + rest.PlacementID.String(),
		})
	}
	return out
}

func todayCard(t *message.Printer, now app.Taught) view.TodayCard {
	card := view.TodayCard{Title: now.Document.Title, Record: "/record/" + now.PlacementID.String(), Teach: "/teach/" + now.PlacementID.String(), Progress: "/progress/" + now.PlacementID.String()}
	strand, step := now.Document.Step(now.StepKey)
	if step == nil {
		return card
	}
	var parts []string
	for _, part := range []struct {
		has  bool
		text string
	}{
		{strand.Role.Name != "", strand.Role.Name},
		{step.Trials > 0, t.Text("today.tries", "n", step.Trials)},
		{step.Minutes > 0, t.Text("today.minutes", "n", step.Minutes)},
	} {
		if part.has {
			parts = append(parts, part.text)
		}
	}
	card.Detail, card.Stair = strings.Join(parts, ", "), stairTo(t, strand, now.StepKey)
	return card
}

// stairTo draws the strand with everything before the current step climbed.
func stairTo(t *message.Printer, strand *newel.Strand, key string) view.Stair {
	here := slices.IndexFunc(strand.Steps, func(s newel.Step) bool { return s.Key == key })
	steps := make([]chart.Step, len(strand.Steps))
	for i, step := range strand.Steps {
		steps[i] = chart.Step{Help: step.PlannedHelp != "", Label: step.Label}
		switch {
		case i < here:
			steps[i].State = chart.Climbed
		case i == here:
			steps[i].State = chart.Current
		}
	}
	return view.Stair{Breakdown: chart.Breakdown{First: steps}, Name: t.Text("today.steps", "here", here+1, "n", len(steps))}
}

func (s *Server) postTalked(w http.ResponseWriter, r *http.Request) error {
	return s.deed(func(r *http.Request, _ url.Values, form app.Form) (string, error) {
		id, err := pathID[newel.AssignmentID](r, "assignment")
		if err != nil {
			return "", err
		}
		return s.app.TalkedAboutIt(r.Context(), mustActor(r), form, id)
	})(w, r)
}

func (s *Server) teachPage(w http.ResponseWriter, r *http.Request) error {
	id, now, kit, err := s.taught(r)
	if err != nil {
		return err
	}
	m := view.TeachPage{
		T: s.printer(r), Outbox: s.outbox(r), Kit: kit, Rests: now.State == newel.AssignmentResting, Ended: !now.Open(),
		Whole: r.URL.Query().Get("more") != "", Path: "/teach/" + id.String(), Record: "/record/" + id.String(),
	}
	return s.page(w, r, http.StatusOK, page{Title: kit.Program, Kind: caregiverLayout}, view.Teach(m))
}

func (s *Server) taught(r *http.Request) (newel.PlacementID, app.Taught, newel.Kit, error) {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return id, app.Taught{}, newel.Kit{}, err
	}
	now, kit, err := s.app.Teach(r.Context(), mustActor(r), id)
	return id, now, kit, err
}

// recorderPage opens the recorder, unless the program rests or the step has
// ended: then how to teach it says so.
func (s *Server) recorderPage(w http.ResponseWriter, r *http.Request) error {
	id, now, kit, err := s.taught(r)
	if err != nil {
		return err
	}
	if !now.Open() || now.State != newel.AssignmentActive {
		return see(w, r, "/teach/"+id.String())
	}
	t := s.printer(r)
	m := view.RecorderPage{
		T: t, Outbox: s.outbox(r), Kit: kit, KitURL: "/kits/" + id.String(),
		Place: []string{t.Text("recorder.place_home"), t.Text("recorder.place_out"), t.Text("recorder.place_clinic")},
	}
	return s.page(w, r, http.StatusOK, page{Title: kit.Program, Kind: caregiverLayout}, view.Recorder(m))
}

// kitHash is the response header with the SHA-256 of a kit, which every
// recording made under it names.
const kitHash = "Newel-Kit-Hash"

func (s *Server) kit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	kit, err := s.app.Kit(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	body, err := json.Marshal(kit)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(body)
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "private, no-store")
	w.Header().Set(kitHash, hex.EncodeToString(sum[:]))
	_, _ = w.Write(body) // the phone may be gone; it will ask again
	return nil
}
