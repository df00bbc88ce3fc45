package say

import (
	"strings"

	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/timezone"
	"newel/internal/view"
)

// ProgressPage returns a placement as staff see it.
func ProgressPage(t *message.Printer, p reading.Progress, l Look) view.ProgressPage {
	d := &p.Version.Document
	stay := stayOf(t, p.Placement.Criterion, d.HelpNames(), p.Said, p.Sessions).Calling(p.Step.Targets)
	again := newel.Day{}
	if len(p.Decisions) > 0 {
		again = p.Decisions[0].ExpectedBy
	}
	m := view.ProgressPage{
		T: t, Learner: view.Link{Label: p.Learner.Nickname, Href: href.Learner.To(p.Learner.ID)},
		Program: view.Link{Label: d.Title, Href: href.PlacementProgram.To(p.Placement.ID)},
		Version: t.Text("progress.version", "n", p.Version.Number), Status: stay.Status(), Flags: flagNames(t, p.Group, stay),
		Sentence: withTargets(stay, reasonOf(t, p.Group, stay, circumstances{p.Placement.BeganOn, p.Today, again, p.Assignment.State, p.Row})),
		Under: stepText(p.Strand.Role.Name, p.Step.Label, p.Step.Name) + ". " + t.Text("progress.since", "day", p.Placement.BeganOn) + " " +
			t.Text("progress.criterion", "criterion", p.Placement.Criterion) + ownOf(t, d, p.Assignment.Overrides, p.Placement.StepKey),
		Findings: findingsOf(t, stay, shownOn{}), Flights: flightsOf(t, p, href.Placement), Decisions: decisionLines(t, p),
		Talks:  talkLines(t, timezone.OrUTC(p.Family.TimeZone), p.Talks),
		Splits: splitsOf(t, timelineOf(t, p, p.Placement.StrandKey), stay), Support: supportOf(t, stay), Targets: stay.TargetLines(),
	}
	m.Also = furtherReasons(stay, m.Sentence)
	if stay.RestsOn() > 0 { // without a flag, no rule matched
		m.RestsOn = restsOn(t, stay) + "."
	}
	if move := helpMove(t, p.Said, d.HelpNames(), p.Placement.PlannedHelp); move != "" && p.Open() {
		m.Sentence += " " + move
	}
	if p.Assignment.State == newel.AssignmentPaused || p.Assignment.State == newel.AssignmentResting {
		m.Status += ", " + t.Text("taught."+string(p.Assignment.State))
	}
	m.Graphs = graphsOf(t, p, l)
	if len(m.Graphs) > 0 {
		path := href.Placement.To(p.Placement.ID)
		m.Table, m.TableOpen = sessionTable(t, timelinesOf(t, p), path, l), l.sort != ""
		m.Looks = looksOf(t, path, l)
		m.Replay = &view.Link{Label: t.Text("replay.open_learner"), Href: href.PlacementReplay.To(p.Placement.ID)}
	}
	m.Untrained, m.Training = untrainedText(t, p)
	if !p.Open() {
		m.Ended, m.EndedTo = endedText(t, p)
	}
	return m
}

func endedText(t *message.Printer, p reading.Progress) (string, *view.Link) {
	ended := newel.Day{}
	if p.Placement.EndedAt != nil {
		ended = newel.DayOf(*p.Placement.EndedAt, timezone.OrUTC(p.Family.TimeZone))
	}
	text := t.Text("progress.ended", "day", ended)
	for _, d := range p.Decisions {
		if d.PlacementID == p.Placement.ID && d.NextPlacement != nil {
			for _, next := range p.Stays { // it may use another version
				if next.ID == *d.NextPlacement {
					return text, &view.Link{Label: next.Version.Document.StepTitle(next.StepKey), Href: href.Placement.To(next.ID)}
				}
			}
		}
	}
	return text, nil
}

// flightsOf draws every strand of the program up to the learner's step. page is
// the pattern of placement pages.
func flightsOf(t *message.Printer, p reading.Progress, page href.One[newel.PlacementID]) []view.Flight {
	var out []view.Flight
	for _, s := range p.Version.Document.Strands {
		at, since := p.CurrentStep(s.Key)
		metOn := p.MetOn()
		f := view.NewFlight(s)
		f.Stair = stairOf(t, stepRows(s), at, p.Met)
		for _, step := range s.Steps {
			line := view.StepText{Code: step.Label, Text: step.Name, State: t.Text("stair.not_yet")}
			switch {
			case step.Key == at:
				line.Here, line.State = true, t.Text("stair.here", "day", since)
			case p.Met[step.Key]:
				line.State = t.Text("stair.climbed_on", "day", t.DayShort(metOn[step.Key]))
			}
			if id, taught := p.LastPlacement(step.Key); taught {
				line.Href = page.To(id)
			}
			f.Steps = append(f.Steps, line)
		}
		out = append(out, f)
	}
	return out
}

func decisionLines(t *message.Printer, p reading.Progress) []view.DecisionLine {
	zone := timezone.OrUTC(p.Family.TimeZone)
	var out []view.DecisionLine
	for _, d := range p.Decisions {
		day := newel.DayOf(d.DecidedAt, zone)
		line := view.DecisionLine{
			Day: t.DayShort(day), Date: day.String(), Kind: helpDecided(t, d, t.Text("decision."+string(d.Kind))), Step: p.Version.Document.StepTitle(d.StepKey),
			Who: whoDecided(t, d), Reason: d.Reason, ForFamily: d.ForFamily, Expected: d.Expected, Glyph: glyphOf(d.Kind), Came: outcomeOf(t, p, d), Agreed: agreedOn(t, d),
		}
		line.ID, line.Said = "decision-"+d.ID.String(), verdictLines(t, p, d.ID)
		if d.Expected != "" {
			line.Read = readingsOf(t, p, d)
		}
		if !d.ExpectedBy.IsZero() {
			line.Again = t.Text("decide.expected_by", "day", d.ExpectedBy)
		}
		for _, s := range p.Stays {
			if d.NextPlacement != nil && s.ID == *d.NextPlacement {
				line.LedTo = &view.Link{Label: s.Version.Document.StepTitle(s.StepKey), Href: href.Placement.To(s.ID)}
			}
		}
		out = append(out, line)
	}
	return out
}

// maxOutcomes limits how many sessions are listed after a decision.
const maxOutcomes = 4

// outcomeOf lists the first sessions after a decision with an expected outcome,
// up to the planned review day.
func outcomeOf(t *message.Printer, p reading.Progress, d newel.DecisionRow) string {
	if d.Expected == "" && d.ExpectedBy.IsZero() {
		return ""
	}
	on := d.PlacementID
	if d.NextPlacement != nil {
		on = *d.NextPlacement
	}
	var came []string
	for _, s := range p.Stays {
		if s.ID != on {
			continue
		}
		stay := stayOf(t, s.Criterion, s.Version.Document.HelpNames(), s.Said, s.Sessions)
		for _, r := range stay.Sessions {
			late := !d.ExpectedBy.IsZero() && d.ExpectedBy.Before(r.Day)
			if r.Of.EndedAt.After(d.DecidedAt) && !late && len(came) < maxOutcomes {
				came = append(came, t.Text("progress.came_one", "result", stay.Result(r), "day", t.DayShort(r.Day)))
			}
		}
	}
	if len(came) == 0 {
		return t.Text("progress.came_nothing")
	}
	return t.List(came)
}

func glyphOf(k newel.DecisionKind) view.Glyph {
	switch k {
	case newel.DecisionAdvance:
		return view.GlyphAdvance
	case newel.DecisionStepBack:
		return view.GlyphStepBack
	case newel.DecisionRevise, newel.DecisionLessHelp, newel.DecisionMoreHelp:
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

// PlainProgress returns a placement as its family sees it.
func PlainProgress(t *message.Printer, p reading.Progress) view.PlainProgress {
	d := &p.Version.Document
	stay := stayOf(t, p.Placement.Criterion, d.HelpNames(), p.Said, p.Sessions).Calling(p.Step.Targets)
	m := view.PlainProgress{
		T: t, Heading: t.Text("progress.heading", "learner", p.Learner.Nickname), Program: d.Title,
		Now:   t.Text("progress.now", "step", stepText(p.Strand.Role.Name, p.Step.Label, p.Step.Name)),
		Since: t.Text("progress.since", "day", p.Placement.BeganOn), Sentence: withTargets(stay, plainSentence(t, p)), Flights: flightsOf(t, p, href.Progress),
		Findings: plainFindings(t, stay), Decisions: decisionLines(t, p), Talks: talkLines(t, timezone.OrUTC(p.Family.TimeZone), p.Talks),
	}
	if e := p.Said.Estimate; e != nil && p.Said.Evidence == nil {
		key := "progress.lately"
		if goal := stay.Criterion.Goal; len(stay.Levels) > 0 && goal.Measure == criterion.Accuracy && goal.Level == "" {
			key = "progress.lately_alone"
		}
		m.Lately = t.Text(key, "have", e.Correct, "n", e.Trials)
	}
	for _, q := range p.Questions {
		if q.AnsweredAt == nil {
			m.Asked = &view.Link{Label: t.Text("question.waits"), Href: href.Questions}
		}
	}
	for i, decision := range p.Decisions {
		m.Decisions[i].Kind = t.Text("plain." + string(decision.Kind))
		if decision.Kind != newel.DecisionLift { // what was agreed about a no is for both
			m.Decisions[i].Reason = decision.ForFamily
		}
	}
	for i := len(stay.Sessions) - 1; i >= 0 && len(m.Sessions) < plainSessions; i-- {
		r := stay.Sessions[i]
		m.Sessions = append(m.Sessions, view.PlainSession{Day: t.DayShort(r.Day), Who: r.By, Unfit: plainNote(t, r), Result: stay.Result(r), Marks: stay.Marks(r)})
	}
	for _, panel := range timelineOf(t, p, p.Placement.StrandKey).Panels() {
		if latest := panel.Latest(plainGraph); panel.Has() && len(latest.Sessions()) > 0 {
			m.Graph = &view.SmallGraphModel{Data: latest.Graph(false), Name: latest.Name(), Caption: latest.Caption()}
			if len(m.Graph.Data.Phases) > 1 {
				m.Graph.Caption += " " + t.Text("progress.plain_lines")
			}
		}
	}
	return m
}

// plainNote says what was different in a session: the child said no, or it
// differed from the step.
func plainNote(t *message.Printer, r view.Recorded) string {
	var notes []string
	if r.SaidNo() {
		notes = append(notes, t.Text("stop.graph_session"))
	}
	if unfit := unfitText(t, r); unfit != "" {
		notes = append(notes, unfit)
	}
	return t.List(notes)
}

// How many sessions a caregiver's list and graph show.
const (
	plainSessions = 10
	plainGraph    = 12
)

// furtherReasons says why flags were raised that the page's sentence does not
// mention. The parts by person and by place have their own, and a page without
// sessions lately says so already.
func furtherReasons(stay view.Stay, sentence string) []string {
	var out []string
	for _, f := range stay.Said.Flags {
		switch f.Kind {
		case criterion.Idle, criterion.DiffersByPerson, criterion.DiffersByPlace:
			continue
		}
		if text := stay.FlagSentence(f); !strings.Contains(sentence, text) {
			out = append(out, text)
		}
	}
	return out
}

// checkMissed reports whether the latest maintenance check did not meet the
// criterion.
func checkMissed(said criterion.Reading) bool {
	_, once := said.Flag(criterion.CheckAgain)
	_, twice := said.Flag(criterion.Slipping)
	return once || twice
}

// plainSentence describes the status without a word that could sound like a
// grade for the child or the parent.
func plainSentence(t *message.Printer, p reading.Progress) string {
	switch {
	case !p.Open():
		return t.Text("progress.plain_closed")
	case p.Assignment.State == newel.AssignmentResting || p.Assignment.State == newel.AssignmentPaused:
		return t.Text("progress.plain_" + string(p.Assignment.State))
	case checkMissed(p.Said):
		return t.Text("progress.plain_check")
	case p.Said.Status == criterion.StatusMet:
		return t.Text("progress.plain_met")
	case p.Group == reading.GroupIdle && len(p.Sessions) == 0:
		return t.Text("progress.plain_never")
	case p.Group == reading.GroupIdle:
		return t.Text("progress.plain_idle")
	case p.Said.Status == criterion.StatusStalled:
		return t.Text("progress.plain_look")
	case p.Group == reading.GroupAttention && onlyClose(p.Said): // a notice for the clinic
		return t.Text("progress.plain_way")
	case p.Group != reading.Quiet && p.Group != reading.GroupRecord: // duplicates do not concern the plan
		return t.Text("progress.plain_look")
	case p.Said.Status == criterion.StatusUnderWay:
		return t.Text("progress.plain_way")
	}
	return t.Text("progress.plain_early")
}
