package gallery

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"newel/internal/criterion"
	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
)

// A scene is an invented placement whose sessions make the evaluator say
// something in particular. The evaluator itself reads it.
type scene struct {
	name      string // in ids
	about     string // what it shows
	criterion string
	sessions  []session
	waited    int // days since the last session

	stepBack, less, more string // rules of the program
	planned              string // prompt
	targets              []program.Target
	atOnce               int
	rules                program.StepRules
	state                newel.AssignmentState // active if empty
	late                 *newel.Late
	twice                bool // the last two sessions overlap
	ended                bool // the placement
}

// session is one session of a scene: how many of its trials were correct
// without a prompt, with the smallest one, and declined.
type session struct {
	correct, prompted, declined, trials int

	by, place string
	kind      criterion.Kind
	planned   string
	early     criterion.EndedEarly
	seconds   float64 // until the response in each trial; 0 if not timed
	choices   int
	side      int // position chosen in each trial; 0 if not recorded
	minutes   int // for goals on duration, instead of trials
	target    string
	also      []session // trials of other targets in the same session
	unfit     []newel.Condition
}

// The people and prompts of every scene.
var (
	people = map[string]string{"ana": "Ana", "ben": "Ben"}
	levels = []program.HelpLevel{{Name: "point"}, {Name: "show"}, {Name: "guide", Touch: true}}
)

// sceneDay is the day of a scene's first session.
var sceneDay = time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)

// trialsOf returns a session's trials, the correct ones first.
func trialsOf(s session) []measure.Trial {
	var out []measure.Trial
	for n := range s.trials {
		t := measure.Trial{Outcome: measure.Incorrect, Target: s.target, Choices: s.choices, Position: s.side}
		switch {
		case n < s.correct:
			t.Outcome = measure.Correct
		case n < s.correct+s.prompted:
			t.Outcome, t.Help = measure.Correct, levels[0].Name
		case n < s.correct+s.prompted+s.declined:
			t.Outcome, t.Position = measure.Declined, 0
		}
		if s.seconds > 0 {
			latency := exact.Frac(int64(s.seconds*10), 10)
			t.LatencyS = &latency
		}
		out = append(out, t)
	}
	for _, other := range s.also {
		out = append(out, trialsOf(other)...)
	}
	return out
}

// kept returns the scene's sessions as the app keeps them, one a day.
func (s scene) kept() []newel.KeptSession {
	var out []newel.KeptSession
	for i, one := range s.sessions {
		at := sceneDay.AddDate(0, 0, i)
		if s.twice && i == len(s.sessions)-1 {
			at = sceneDay.AddDate(0, 0, i-1).Add(time.Minute)
		}
		if one.by == "" {
			one.by = "ana"
		}
		of := criterion.Session{
			ID: newel.NewID[newel.RecordingID]().String(), StartedAt: at, EndedAt: at.Add(10 * time.Minute), LocalDate: criterion.DateOf(at, time.UTC),
			By: one.by, Place: one.place, Kind: one.kind, PlannedHelp: one.planned, EndedEarly: one.early, Trials: trialsOf(one),
		}
		if one.minutes > 0 {
			of.DurationsS = []exact.Rat{exact.Int(int64(60 * one.minutes))}
		}
		out = append(out, newel.KeptSession{Session: of, Unfit: one.unfit})
	}
	return out
}

// staged is a scene with its reading, as the app hands both pages.
type staged struct {
	scene
	progress reading.Progress
	item     reading.CaseloadItem
	row      newel.CaseloadRow
}

// now is the time at which the scene is looked at: the evening of the last
// session, or some days after it.
func (s scene) now() time.Time {
	return sceneDay.AddDate(0, 0, max(0, len(s.sessions)-1)+s.waited).Add(10 * time.Hour)
}

// stage evaluates a scene. The scenes are part of the program and tested, so
// that evaluating one cannot fail.
func (s scene) stage() staged {
	out, err := s.evaluated()
	if err != nil {
		panic(fmt.Errorf("scene %s: %w", s.name, err))
	}
	return out
}

func (s scene) evaluated() (staged, error) {
	step := program.Step{
		Key: "u2", Label: "U2", Name: "Among three cups", Criterion: s.criterion, StepBack: s.stepBack, Rules: s.rules,
		Measure: program.MeasureTrials, Trials: 10, PlannedHelp: s.planned, Targets: s.targets, AtOnce: s.atOnce,
	}
	strand := program.Strand{Key: "a", Steps: []program.Step{{Key: "u1", Label: "U1", Name: "One cup"}, step, {Key: "u3", Label: "U3", Name: "From across the room"}}}
	document := program.Document{Title: "Which cup?", HelpLevels: levels, Strands: []program.Strand{strand}, Reinforcing: "a turn with the train"}
	began := newel.DayOf(sceneDay, time.UTC)
	placement := newel.Placement{
		ID: newel.NewID[newel.PlacementID](), FamilyID: newel.NewID[newel.FamilyID](), AssignmentID: newel.NewID[newel.AssignmentID](),
		StepKey: step.Key, StrandKey: strand.Key, Criterion: s.criterion, StepBack: s.stepBack, PlannedHelp: s.planned, BeganAt: sceneDay, BeganOn: began,
	}
	if s.ended {
		at := s.now()
		placement.EndedAt = &at
	}
	facts := reading.Facts{
		PlacementID: placement.ID, FamilyID: placement.FamilyID, AssignmentID: placement.AssignmentID, TimeZone: "UTC", Criterion: s.criterion,
		StepBack: s.stepBack, BeganAt: sceneDay, BeganOn: began, Step: step, PlannedHelp: s.planned, HelpRules: reading.HelpRules{Less: s.less, More: s.more},
		HelpLevels: levels, Sessions: s.kept(),
	}
	read, err := reading.Evaluator(criterion.EvaluateEach).Evaluate(facts, s.now())
	if err != nil {
		return staged{}, err
	}
	said := reading.DecodeReading(read.Body)
	rows := make([]newel.SessionRow, len(facts.Sessions))
	for i, kept := range facts.Sessions {
		if rows[i], err = reading.RowOf(kept, people); err != nil {
			return staged{}, err
		}
	}
	state := s.state
	if state == "" {
		state = newel.AssignmentActive
	}
	learner := newel.Learner{ID: newel.NewID[newel.LearnerID](), Nickname: "Kavi", FamilyID: placement.FamilyID}
	out := staged{scene: s, row: newel.CaseloadRow{
		PlacementID: placement.ID, AssignmentID: placement.AssignmentID, FamilyID: placement.FamilyID, LearnerID: learner.ID, Learner: learner.Nickname,
		Family: "Rautela", TimeZone: "UTC", Program: document.Title, State: state, StepKey: step.Key, StrandKey: strand.Key, StepLabel: step.Label,
		StepName: step.Name, BeganAt: sceneDay, BeganOn: began, Number: 1, Newest: 1, Gist: read.Gist, IdleFrom: read.IdleFrom, Late: s.late,
	}}
	version := program.Version{Number: 1, Document: document}
	stay := reading.Stay{Placement: placement, Version: &version, Strand: strand, Step: step, Said: said, Sessions: rows}
	out.progress = reading.Progress{
		Placement: placement, Assignment: newel.Assignment{ID: placement.AssignmentID, LearnerID: learner.ID, State: state}, Learner: learner,
		Family: newel.Family{ID: placement.FamilyID, TimeZone: "UTC"}, Version: version, Strand: strand, Step: step,
		Placements: []newel.Placement{placement}, Stays: []reading.Stay{stay}, Said: said, Sessions: rows, Met: map[string]bool{"u1": true},
		Group: reading.GroupOf(out.row, s.now()), Row: out.row, Today: newel.DayOf(s.now(), time.UTC),
	}
	latest, err := json.Marshal(read.Latest)
	if err != nil {
		return staged{}, err
	}
	var shown newel.KeptSessions
	if err := json.Unmarshal(latest, &shown); err != nil {
		return staged{}, err
	}
	out.item = reading.CaseloadItem{
		Said: said, Sessions: rows[len(rows)-len(shown):], Detail: program.CaseloadDetail{
			Criterion: s.criterion, HelpLevels: document.HelpNames(), People: people, Reinforcing: document.Reinforcing, Planned: s.planned, Targets: s.each(),
		},
	}
	for _, one := range strand.Steps {
		out.item.Steps = append(out.item.Steps, program.StepRow{Key: one.Key, Strand: strand.Key, Label: one.Label, Name: one.Name})
	}
	return out, nil
}

// each returns the targets that are mastered individually.
func (s scene) each() []program.Target {
	if s.atOnce == 0 {
		return nil
	}
	return s.targets
}

// caseload returns the caseload of scenes. Each scene has its own day on which
// it is looked at; the page has that of the first.
func caseload(list []staged) reading.Caseload {
	c := reading.Caseload{At: sceneDay.AddDate(0, 0, 30), Zone: time.UTC}
	groups := map[reading.Group][]reading.CaseloadItem{}
	for _, s := range list {
		i := s.item
		i.CaseloadRow, i.Group, i.Today = s.row, s.progress.Group, s.progress.Today
		i.Learner = s.about
		groups[i.Group] = append(groups[i.Group], i)
	}
	for _, g := range reading.Groups {
		if items := groups[g]; len(items) > 0 {
			c.Groups = append(c.Groups, reading.CaseloadGroup{Group: g, Items: items, Total: len(items)})
		}
	}
	c.Quiet = slices.Clone(groups[reading.Quiet])
	c.QuietTotal, c.QuietPages, c.Filter.Page = len(c.Quiet), 1, 1
	return c
}
