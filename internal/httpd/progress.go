package httpd

import (
	"errors"
	"net/http"

	"newel/internal/app"
	"newel/internal/chart"
	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"

	"github.com/a-h/templ"
)

func (s *Server) placement(w http.ResponseWriter, r *http.Request) error {
	in := app.DecisionInput{Kind: newel.DecisionKind(r.URL.Query().Get("kind"))}
	return s.showPlacement(w, r, http.StatusOK, in, nil)
}

// decide records a decision. If it cannot be taken as it is, the placement's
// page comes back with everything as typed; if somebody else was first, with
// who decided what.
func (s *Server) decide(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	in := app.DecisionInput{
		Kind: newel.DecisionKind(values.Get("kind")), To: values.Get("to"), Reason: values.Get("reason"), Expected: values.Get("expected"),
		ExpectedBy: values.Get("expected_by"), After: values.Get("after"),
	}
	if values.Get("back") == "caseload" {
		in.Back = "/caseload"
	}
	var location string
	if err == nil {
		location, err = s.app.Decide(r.Context(), mustActor(r), form, id, in)
	}
	if err == nil {
		return see(w, r, location)
	}
	if problems, invalid := problemTexts(s.printer(r), err); invalid {
		return s.showPlacement(w, r, http.StatusUnprocessableEntity, in, func(m *view.ProgressPage) { tellProblems(m, problems) })
	}
	var meanwhile *app.DecidedMeanwhile
	if errors.As(err, &meanwhile) {
		t := s.printer(r)
		return s.showPlacement(w, r, http.StatusConflict, in, func(m *view.ProgressPage) {
			m.Meanwhile, m.MeanwhileMine = meanwhileText(t, meanwhile), in.Reason
		})
	}
	return err
}

func meanwhileText(t *message.Printer, e *app.DecidedMeanwhile) string {
	d := e.Decision
	args := []any{"who", d.DecidedByName, "day", dayOf(d.DecidedAt), "kind", t.Text("decision." + string(d.Kind)), "step", e.StepTitle}
	if e.StepTitle != "" {
		return t.Text("decide.meanwhile_to", args...)
	}
	return t.Text("decide.meanwhile", args...)
}

func tellProblems(m *view.ProgressPage, problems map[string]string) {
	if m.Form == nil {
		return
	}
	m.Form.Kind.Error, m.Form.To.Error, m.Form.Reason.Error = problems["kind"], problems["to"], problems["reason"]
	m.Form.Expected.Error, m.Form.By.Error = problems["expected"], problems["expected_by"]
	if problems["form"] != "" {
		m.Form.Kind.Error = problems["form"]
	}
}

func (s *Server) showPlacement(w http.ResponseWriter, r *http.Request, status int, in app.DecisionInput, change func(*view.ProgressPage)) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	actor, t := mustActor(r), s.printer(r)
	p, err := s.app.Progress(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := progressPage(t, p)
	if actor.Can(newel.Decide) && p.Open() {
		m.Form = decideForm(t, p, in)
		m.Buttons = view.DecideButtons{
			Label: t.Text("decide.for", "learner", p.Learner.Nickname, "program", p.Version.Document.Title), Action: m.Form.Action,
			Token: newToken(), After: p.Latest(), Acts: pageActs(t, p),
		}
	}
	if change != nil {
		change(&m)
	}
	title := t.Text("progress.title", "learner", p.Learner.Nickname, "program", p.Version.Document.Title)
	return s.page(w, r, status, page{Title: title, Section: "caseload"}, view.Progress(m))
}

func progressPage(t *message.Printer, p app.Progress) view.ProgressPage {
	d := &p.Version.Document
	stay := stayOf(t, p.Placement.Criterion, d.HelpNames(), p.Said, p.Sessions)
	again := newel.Day{}
	if len(p.Decisions) > 0 {
		again = p.Decisions[0].ExpectedBy
	}
	m := view.ProgressPage{
		T: t, Learner: view.Link{Label: p.Learner.Nickname, Href: "/learners/" + p.Learner.ID.String()},
		Program: view.Link{Label: d.Title, Href: "/programs/" + p.Version.ProgramID.String()},
		Version: t.Text("progress.version", "n", p.Version.Number), Standing: stay.Status(), Flags: flagNames(t, p.Group, stay),
		Sentence: reasonOf(t, p.Group, stay, standing{p.Placement.BeganOn, p.Today, again, p.Assignment.State}),
		Under: stepText(p.Strand.Role.Name, p.Step.Label, p.Step.Name) + ". " + t.Text("progress.since", "day", p.Placement.BeganOn) + " " +
			t.Text("progress.criterion", "criterion", p.Placement.Criterion),
		RestsOn: restsOn(t, stay) + ".", Flights: flightsOf(t, p), Decisions: decisionLines(t, p),
	}
	if p.Assignment.State == newel.AssignmentPaused || p.Assignment.State == newel.AssignmentResting {
		m.Standing += ", " + t.Text("taught."+string(p.Assignment.State))
	}
	if len(p.Sessions) > 0 {
		m.Graph = graphOf(t, stay, p)
	}
	if !p.Open() {
		m.Ended, m.EndedTo = endedText(t, p)
	}
	return m
}

func endedText(t *message.Printer, p app.Progress) (string, *view.Link) {
	ended := newel.Day{}
	if p.Placement.EndedAt != nil {
		ended = dayOf(*p.Placement.EndedAt)
	}
	text := t.Text("progress.ended", "day", ended)
	for _, d := range p.Decisions {
		if d.PlacementID == p.Placement.ID && d.NextPlacement != nil {
			for _, next := range p.Placements {
				if next.ID == *d.NextPlacement {
					return text, &view.Link{Label: p.Version.Document.StepTitle(next.StepKey), Href: "/placements/" + next.ID.String()}
				}
			}
		}
	}
	return text, nil
}

func graphOf(t *message.Printer, stay view.Stay, p app.Progress) *view.GraphModel {
	g := &view.GraphModel{
		ID: "g1", Data: stay.Graph(), Title: stay.GraphName(), YTitle: stay.Axis(), XTitle: t.Text("graph.x"),
		TableAs: t.Text("graph.table"), Scroll: t.Text("graph.scroll"), Table: sessionTable(t, stay), Key: keyOf(t, stay),
	}
	g.Data.Phases[0].Label = p.Step.Label
	for _, r := range stay.Sessions {
		g.Sessions = append(g.Sessions, view.SessionText{Text: sessionText(t, stay, r), Href: r.Href})
	}
	return g
}

func sessionText(t *message.Printer, stay view.Stay, r view.Recorded) string {
	text := t.Day(r.Day) + ": " + stay.Result(r)
	if r.By != "" {
		text += ", " + r.By
	}
	if note := sessionNote(t, r); note != "" {
		text += ", " + note
	}
	return text
}

// sessionNote says why a session is not judged like the others.
func sessionNote(t *message.Printer, r view.Recorded) string {
	switch {
	case r.Read.Why != criterion.Counted:
		return t.Text("why." + string(r.Read.Why))
	case r.Read.Barred != criterion.NotBarred:
		return t.Text("why." + string(r.Read.Barred))
	}
	return ""
}

func keyOf(t *message.Printer, stay view.Stay) []view.KeyLine {
	var key []view.KeyLine
	for i, name := range stay.People() {
		if name != "" && i < 2 {
			key = append(key, view.KeyLine{Shape: view.KeyFirst + view.KeyShape(i), Text: t.Text("graph.taught", "who", name)})
		}
	}
	data := stay.Graph()
	has := func(test func(chart.Session) bool) bool {
		for _, s := range data.Sessions {
			if test(s) {
				return true
			}
		}
		return false
	}
	for _, k := range []struct {
		shape view.KeyShape
		key   string
		kind  chart.PointKind
	}{
		{view.KeyHelp, "graph.key_help", chart.WithHelp},
		{view.KeyLeftOut, "graph.key_left_out", chart.LeftOut},
		{view.KeyProbe, "graph.key_probe", chart.Probe},
		{view.KeyCheck, "graph.key_check", chart.Check},
	} {
		if has(func(s chart.Session) bool { return s.Kind == k.kind && !s.No }) {
			key = append(key, view.KeyLine{Shape: k.shape, Text: t.Text(k.key)})
		}
	}
	if has(func(s chart.Session) bool { return s.No }) {
		key = append(key, view.KeyLine{Shape: view.KeySaidNo, Text: t.Text("flag.distress")})
	}
	return append(key, view.KeyLine{Shape: view.KeyCriterion, Text: t.Text("graph.key_criterion")})
}

func sessionTable(t *message.Printer, stay view.Stay) *view.Table {
	table := &view.Table{Label: t.Text("progress.sessions")}
	for _, c := range []string{"day", "who", "result", "trials", "note"} {
		table.Columns = append(table.Columns, view.Column{Label: t.Text("progress.col_" + c), Number: c == "result"})
	}
	for _, r := range stay.Sessions {
		table.Rows = append(table.Rows, view.Row{Cells: []templ.Component{
			view.Linked(view.Link{Label: t.Day(r.Day), Href: r.Href}), view.Plainly(r.By), view.Plainly(stay.Result(r)),
			view.MarksCell(stay.Marks(r), view.MarkNames(t)), view.Soft(sessionNote(t, r)),
		}})
	}
	return table
}

// flightsOf draws every strand of the program as far as the learner has come.
func flightsOf(t *message.Printer, p app.Progress) []view.Flight {
	var out []view.Flight
	for _, s := range p.Version.Document.Strands {
		at, since := p.Stands(s.Key)
		f := view.NewFlight(s)
		f.Stair = stairOf(t, stepRows(s), at, p.Climbed)
		for _, step := range s.Steps {
			line := view.StepText{Code: step.Label, Text: step.Name, State: t.Text("stair.not_yet")}
			switch {
			case step.Key == at:
				line.Here, line.State = true, t.Text("stair.here", "day", since)
			case p.Climbed[step.Key]:
				line.State = t.Text("stair.climbed")
			}
			f.Steps = append(f.Steps, line)
		}
		out = append(out, f)
	}
	return out
}

func decisionLines(t *message.Printer, p app.Progress) []view.DecisionLine {
	var out []view.DecisionLine
	for _, d := range p.Decisions {
		line := view.DecisionLine{
			Day: t.DayShort(dayOf(d.DecidedAt)), Kind: t.Text("decision." + string(d.Kind)), Step: p.Version.Document.StepTitle(d.StepKey),
			Who: d.DecidedByName, Reason: d.Reason, Expected: d.Expected, Glyph: glyphOf(d.Kind),
		}
		if !d.ExpectedBy.IsZero() {
			line.Again = t.Text("decide.expected_by", "day", d.ExpectedBy)
		}
		out = append(out, line)
	}
	return out
}

func glyphOf(k newel.DecisionKind) view.Glyph {
	switch k {
	case newel.DecisionAdvance:
		return view.GlyphAdvance
	case newel.DecisionStepBack:
		return view.GlyphStepBack
	case newel.DecisionRevise:
		return view.GlyphRevise
	case newel.DecisionBranch:
		return view.GlyphBranch
	case newel.DecisionPause:
		return view.GlyphPause
	case newel.DecisionFinish:
		return view.GlyphFinish
	case newel.DecisionSeen:
		return view.GlyphSeen
	}
	return view.GlyphHold
}

// pageActs are the decisions that one press takes; the others want a reason.
func pageActs(t *message.Printer, p app.Progress) []view.Act {
	seen := view.Act{Glyph: view.GlyphSeen, Label: t.Text("decide.seen"), Name: "kind", Value: string(newel.DecisionSeen)}
	other := view.Act{Glyph: view.GlyphRevise, Label: t.Text("decide.other"), Href: "#decide"}
	switch {
	case p.Assignment.State == newel.AssignmentPaused:
		return []view.Act{{Glyph: view.GlyphHold, Label: t.Text("decide.resume"), Name: "kind", Value: string(newel.DecisionResume)}, other}
	case p.Said.Status == criterion.StatusMet && p.Assignment.State == newel.AssignmentActive:
		var next *newel.StepRow
		if step := p.Version.Document.Following(p.Step.Key); step != nil {
			next = &newel.StepRow{Label: step.Label}
		}
		advance := view.Act{Glyph: view.GlyphAdvance, Label: advanceLabel(t, next), Name: "kind", Value: string(newel.DecisionAdvance), Solid: true}
		return []view.Act{advance, seen, other}
	}
	return []view.Act{seen, other}
}

func decideForm(t *message.Printer, p app.Progress, in app.DecisionInput) *view.DecideForm {
	f := &view.DecideForm{
		Action: "/placements/" + p.Placement.ID.String() + "/decide", Token: newToken(), After: p.Latest(),
		Kind:     view.Field{Name: "kind", Label: t.Text("decide.kind"), Value: string(in.Kind), Required: true},
		To:       view.Field{Name: "to", Label: t.Text("decide.to"), Value: in.To, Hint: t.Text("decide.to_hint")},
		Reason:   view.Field{Name: "reason", Label: t.Text("decide.reason"), Value: in.Reason, Hint: t.Text("decide.reason_hint")},
		Expected: view.Field{Name: "expected", Label: t.Text("decide.expected"), Value: in.Expected, Hint: t.Text("decide.expected_hint")},
		By:       view.Field{Name: "expected_by", Label: t.Text("decide.look_again"), Value: in.ExpectedBy},
	}
	kinds := []newel.DecisionKind{newel.DecisionAdvance, newel.DecisionStepBack, newel.DecisionHold, newel.DecisionPause, newel.DecisionFinish, newel.DecisionSeen}
	if p.Assignment.State == newel.AssignmentPaused {
		kinds[3] = newel.DecisionResume
	}
	earlier := p.Earlier()
	for _, k := range kinds {
		if k != newel.DecisionStepBack || len(earlier) > 0 {
			f.Kind.Options = append(f.Kind.Options, view.Option{Value: string(k), Label: t.Text("decide." + string(k))})
		}
	}
	for i := len(earlier) - 1; i >= 0; i-- { // the step just before is the likeliest
		f.To.Options = append(f.To.Options, view.Option{Value: earlier[i].Key, Label: earlier[i].Label + ", " + earlier[i].Name})
	}
	return f
}

// familyProgress is the same stay in plain words, for the child's family.
func (s *Server) familyProgress(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.PlacementID](r, "placement")
	if err != nil {
		return err
	}
	p, err := s.app.Progress(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := plainProgress(t, p)
	return s.page(w, r, http.StatusOK, page{Title: m.Heading, Kind: caregiverLayout}, view.FamilyProgress(m))
}

func plainProgress(t *message.Printer, p app.Progress) view.PlainProgress {
	d := &p.Version.Document
	stay := stayOf(t, p.Placement.Criterion, d.HelpNames(), p.Said, p.Sessions)
	m := view.PlainProgress{
		T: t, Heading: t.Text("progress.heading", "learner", p.Learner.Nickname), Program: d.Title,
		Now:   t.Text("progress.now", "step", stepText(p.Strand.Role.Name, p.Step.Label, p.Step.Name)),
		Since: t.Text("progress.since", "day", p.Placement.BeganOn), Sentence: plainSentence(t, p), Flights: flightsOf(t, p),
		Decisions: decisionLines(t, p),
	}
	for i := range m.Decisions {
		m.Decisions[i].Expected, m.Decisions[i].Again = "", ""
	}
	for i := len(stay.Sessions) - 1; i >= 0 && len(m.Sessions) < 10; i-- {
		r := stay.Sessions[i]
		m.Sessions = append(m.Sessions, view.PlainSession{Day: t.DayShort(r.Day), Who: r.By, Result: stay.Result(r), Marks: stay.Marks(r)})
	}
	if n := len(stay.Sessions); n > 0 {
		latest := stay
		latest.Sessions = stay.Sessions[max(0, n-10):]
		m.Graph = &view.SmallGraphModel{Data: latest.Graph(), Name: latest.GraphName(), Caption: latest.Caption()}
	}
	return m
}

// plainSentence says how things stand without a word that could sound like a
// mark for child or parent.
func plainSentence(t *message.Printer, p app.Progress) string {
	switch {
	case !p.Open():
		return t.Text("progress.plain_closed")
	case p.Said.Status == criterion.StatusMet:
		return t.Text("progress.plain_met")
	case p.Group == app.GroupIdle:
		return t.Text("progress.plain_idle")
	case p.Group != app.Quiet || p.Said.Status == criterion.StatusStalled:
		return t.Text("progress.plain_look")
	case p.Said.Status == criterion.StatusUnderWay:
		return t.Text("progress.plain_way")
	}
	return t.Text("progress.plain_early")
}
