package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/revision"
)

// ProgramTraining is the training of one family's people in one program.
type ProgramTraining struct {
	Family  newel.Family
	Program newel.ProgramID
	Title   string
	Starts  []StepStart // current steps of the family's learners; empty if it is not assigned
	People  []PersonTraining
}

// StepStart is a step being taught and the training needed to start it.
type StepStart struct {
	Learner   newel.Learner
	Placement newel.PlacementID
	Step      string // role and label
	Name      string
	From      newel.TrainingState
}

// PersonTraining is one person with all training entries, newest first.
type PersonTraining struct {
	newel.Person
	State   newel.TrainingState
	Entries []newel.Training
	// Changed reports that a later version than the one of the newest entry has
	// changed the procedure.
	Changed bool
}

// Wanting lists the people who may not start the step yet.
func (p ProgramTraining) Wanting(s StepStart) []PersonTraining {
	return slices.DeleteFunc(slices.Clone(p.People), func(x PersonTraining) bool { return x.State.Reaches(s.From) })
}

// trainingIn returns a family's training in every assigned program, by learner
// and assignment.
func trainingIn(ctx context.Context, tx *postgres.Tx, family newel.Family, learners []newel.Learner) ([]ProgramTraining, error) {
	home, err := homeOf(ctx, tx, family.ID)
	if err != nil {
		return nil, err
	}
	var list []ProgramTraining
	for _, l := range learners {
		assigned, err := tx.Assignments(ctx, l.ID)
		if err != nil {
			return nil, err
		}
		for _, a := range assigned {
			if a.State == newel.AssignmentFinished {
				continue
			}
			starts, version, err := startsOf(ctx, tx, l, a.Assignment)
			if err != nil {
				return nil, err
			}
			if len(starts) == 0 {
				continue
			}
			i := slices.IndexFunc(list, func(p ProgramTraining) bool { return p.Program == a.ProgramID })
			if i < 0 {
				people, err := home.training(ctx, tx, a.ProgramID, version)
				if err != nil {
					return nil, err
				}
				i, list = len(list), append(list, ProgramTraining{Family: family, Program: a.ProgramID, Title: a.Program, People: people})
			}
			list[i].Starts = append(list[i].Starts, starts...)
		}
	}
	return list, nil
}

// startsOf lists the learner's current steps in an assignment, and the newest
// version they use.
func startsOf(ctx context.Context, tx *postgres.Tx, l newel.Learner, a newel.Assignment) (starts []StepStart, newest program.Version, err error) {
	placements, err := tx.Placements(ctx, a.ID)
	if err != nil {
		return nil, newest, err
	}
	for _, at := range placements {
		if at.EndedAt != nil {
			continue
		}
		if newest.ID != at.VersionID {
			if newest, err = tx.VersionOf(ctx, at.ID); err != nil {
				return nil, newest, err
			}
		}
		if _, step := newest.Document.Step(at.StepKey); step != nil {
			starts = append(starts, StepStart{
				Learner: l, Placement: at.ID, Step: newest.Document.StepTitle(at.StepKey), Name: step.Name,
				From: newest.Document.StartsFrom(step, l.Care.TouchAllowed),
			})
		}
	}
	return starts, newest, nil
}

// homeOf returns the people who teach in a family, and their training.
func homeOf(ctx context.Context, tx *postgres.Tx, family newel.FamilyID) (h dayHome, err error) {
	if h.people, err = tx.People(ctx, family); err != nil {
		return h, err
	}
	h.entries, err = tx.Training(ctx, family)
	return h, err
}

// training returns everyone's training in a program that now uses the version.
func (h dayHome) training(ctx context.Context, tx *postgres.Tx, program newel.ProgramID, now program.Version) ([]PersonTraining, error) {
	list := make([]PersonTraining, len(h.people))
	changed := map[newel.VersionID]bool{now.ID: false}
	for i, p := range h.people {
		list[i] = PersonTraining{Person: p, State: newel.TrainingOf(h.entries, p, program)}
		for _, t := range h.entries {
			if t.PersonID == p.ID && t.ProgramID == program {
				list[i].Entries = append(list[i].Entries, t)
			}
		}
		last, found := newel.LatestTraining(h.entries, p.ID, program)
		if !found || last.State == newel.TrainingNone || last.VersionID == nil {
			continue
		}
		is, known := changed[*last.VersionID]
		if !known {
			then, err := tx.Version(ctx, *last.VersionID)
			if ignore(err, newel.ErrNotFound) != nil { // (not found: made for another learner)
				return nil, err
			}
			c, err := revision.Compare(then.Document, now.Document)
			if err != nil {
				return nil, err
			}
			is = then.ID == *last.VersionID && c.Procedure
			changed[*last.VersionID] = is
		}
		list[i].Changed = is
	}
	return list, nil
}

// startOf returns who may start a step, for the phone of one account.
func startOf(t reading.Taught, h dayHome, self newel.AccountID) program.DayStart {
	start := program.DayStart{Wanting: []newel.PersonID{}}
	if _, step := t.Document.Step(t.StepKey); step != nil {
		start.From = t.Document.StartsFrom(step, t.Care.TouchAllowed)
	}
	for _, p := range h.people {
		state := newel.TrainingOf(h.entries, p, t.ProgramID)
		switch {
		case p.Account != nil && *p.Account == self:
			start.State = state
		case !state.Reaches(start.From):
			start.Wanting = append(start.Wanting, p.ID)
		}
	}
	return start
}

// FirstStart is the training needed to start a program's first steps, and the
// people of the family who have it.
type FirstStart struct {
	From  newel.TrainingState // the highest of its first steps
	There []string            // names
}

// firstStarts returns the FirstStart of every published program for a learner's
// family.
func firstStarts(ctx context.Context, tx *postgres.Tx, l newel.Learner) (map[newel.ProgramID]FirstStart, error) {
	home, err := homeOf(ctx, tx, l.FamilyID)
	if err != nil {
		return nil, err
	}
	rows, err := tx.FirstSteps(ctx)
	if err != nil {
		return nil, err
	}
	starts := map[newel.ProgramID]FirstStart{}
	for _, row := range rows {
		var s FirstStart
		for _, strand := range row.Document.Strands {
			if len(strand.Opens) > 0 || len(strand.Steps) == 0 {
				continue
			}
			if from := row.Document.StartsFrom(&strand.Steps[0], l.Care.TouchAllowed); from.Reaches(s.From) {
				s.From = from
			}
		}
		for _, p := range home.people {
			if newel.TrainingOf(home.entries, p, row.ProgramID).Reaches(s.From) {
				s.There = append(s.There, p.Name)
			}
		}
		starts[row.ProgramID] = s
	}
	return starts, nil
}

// Training returns a family's training in a program, whether or not the program
// is assigned.
func (a *App) Training(ctx context.Context, actor newel.Actor, family newel.FamilyID, program newel.ProgramID) (p ProgramTraining, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		p, _, err = programTraining(ctx, tx, family, program)
		return err
	})
	return p, err
}

// programTraining returns the training in one program, and the version for
// which a new entry would be recorded.
func programTraining(ctx context.Context, tx *postgres.Tx, family newel.FamilyID, program newel.ProgramID) (p ProgramTraining, now program.Version, err error) {
	if p.Family, err = tx.Family(ctx, family); err != nil {
		return p, now, err
	}
	if now, err = tx.LatestVersion(ctx, program); err != nil {
		return p, now, err
	}
	p.Program, p.Title = program, now.Document.Title
	learners, err := tx.LearnersOf(ctx, family)
	if err != nil {
		return p, now, err
	}
	for _, l := range learners {
		assigned, err := tx.Assignments(ctx, l.ID)
		if err != nil {
			return p, now, err
		}
		for _, a := range assigned {
			if a.ProgramID != program || a.State == newel.AssignmentFinished {
				continue
			}
			starts, version, err := startsOf(ctx, tx, l, a.Assignment)
			if err != nil {
				return p, now, err
			}
			if p.Starts = append(p.Starts, starts...); len(starts) > 0 {
				now = version
			}
		}
	}
	home, err := homeOf(ctx, tx, family)
	if err != nil {
		return p, now, err
	}
	p.People, err = home.training(ctx, tx, program, now)
	return p, now, err
}

// TrainingInput is the form for one person. NoTraining withdraws what was
// recorded.
type TrainingInput struct{ Person, State, Note string }

// NoTraining is the form's value for newel.TrainingNone.
const NoTraining = "none"

// SetTraining records a person's training in a program. It returns the location
// of the family's training in the program.
func (a *App) SetTraining(ctx context.Context, actor newel.Actor, form Form, family newel.FamilyID, program newel.ProgramID, in TrainingInput) (string, error) {
	var e newel.Invalid
	state := newel.TrainingState(in.State)
	if in.State == NoTraining {
		state = newel.TrainingNone
	} else if !state.Known() || state == newel.TrainingNone {
		e.Add("state", "training.choose")
	}
	note := e.Text("note", in.Note, newel.MaxNote, false)
	if err := e.OrNil(); err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.TrainCaregiver, form, func(tx *postgres.Tx) (string, error) {
		id, err := newel.ParseID[newel.PersonID](in.Person)
		if err != nil {
			return "", err
		}
		person, err := tx.Person(ctx, id)
		if err != nil {
			return "", err
		}
		if person.FamilyID != family {
			return "", fmt.Errorf("person %s of family %s: %w", id, family, newel.ErrNotFound)
		}
		_, now, err := programTraining(ctx, tx, family, program)
		if err != nil {
			return "", err
		}
		t := newel.Training{
			ID: newel.NewID[newel.TrainingID](), FamilyID: family, PersonID: id, ProgramID: program, State: state, VersionID: &now.ID, Note: note, SetAt: tx.Now(),
		}
		if err := tx.AddTraining(ctx, t); err != nil {
			return "", err
		}
		return href.FamilyTraining.To(family, program), tx.Note(ctx, "training.set", family, id.UUID)
	})
}

// ReadInput is an "I have read this" from a phone; see TalkInput.
type ReadInput struct {
	ID         newel.TrainingID
	Assignment newel.AssignmentID
	At, Sent   time.Time
}

// HaveRead records that a caregiver has read how a program is taught, including
// when it was recorded offline and arrives late. It never lowers a training
// status. Sending the same id again returns the same answer.
func (a *App) HaveRead(ctx context.Context, actor newel.Actor, in ReadInput) (out newel.HaveRead, err error) {
	err = a.act(ctx, actor, newel.TeachToday, func(tx *postgres.Tx) error {
		it, err := tx.LockAssignment(ctx, in.Assignment)
		if err != nil {
			return err
		}
		home, err := homeOf(ctx, tx, it.FamilyID)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(home.people, func(p newel.Person) bool { return p.Account != nil && *p.Account == actor.Account })
		if i < 0 {
			return fmt.Errorf("account %s in family %s: %w", actor.Account, it.FamilyID, newel.ErrNotFound)
		}
		out = newel.HaveRead{ID: in.ID, Assignment: it.ID}
		before, err := tx.TrainingEntry(ctx, in.ID)
		switch {
		case err == nil && (before.PersonID != home.people[i].ID || before.ProgramID != it.ProgramID):
			return fmt.Errorf("training %s: %w", in.ID, newel.ErrConflict)
		case err == nil:
			return nil
		case !errors.Is(err, newel.ErrNotFound):
			return err
		}
		if state := newel.TrainingOf(home.entries, home.people[i], it.ProgramID); state.Reaches(newel.TrainingShown) {
			return nil
		}
		return noteRead(ctx, tx, it, home.people[i], in)
	})
	return out, err
}

func noteRead(ctx context.Context, tx *postgres.Tx, it newel.Assignment, p newel.Person, in ReadInput) error {
	t := newel.Training{
		ID: in.ID, FamilyID: it.FamilyID, PersonID: p.ID, ProgramID: it.ProgramID, State: newel.TrainingRead, SetAt: correctedTime(in.At, in.Sent, tx.Now()),
	}
	placements, err := tx.Placements(ctx, it.ID)
	if err != nil {
		return err
	}
	for _, at := range placements {
		if at.EndedAt == nil {
			t.VersionID = &at.VersionID
		}
	}
	if err := tx.AddTraining(ctx, t); err != nil {
		return err
	}
	return tx.Note(ctx, "training.read", it.FamilyID, p.ID.UUID)
}

// untrained lists the placement's sessions since the latest decision that a
// person of the family recorded without the required training of the recorder
// or of the person named as teaching.
func untrained(ctx context.Context, tx *postgres.Tx, p *reading.Progress) error {
	home, err := homeOf(ctx, tx, p.Family.ID)
	if err != nil {
		return err
	}
	if p.Open() {
		var states []newel.TrainingState
		for _, x := range home.people {
			states = append(states, newel.TrainingOf(home.entries, x, p.Assignment.ProgramID))
		}
		reading.MarkStart(&p.Row, &p.Version.Document, states)
		p.Group = reading.GroupOf(p.Row, tx.Now())
	}
	from := p.Version.Document.StartsFrom(&p.Step, p.Learner.Care.TouchAllowed)
	for _, s := range p.Sessions {
		by := slices.IndexFunc(home.people, func(x newel.Person) bool { return s.By != nil && x.ID == *s.By })
		// On a supervisor's own phone the session was supervised.
		theirs := slices.ContainsFunc(home.people, func(x newel.Person) bool { return x.Account != nil && *x.Account == s.AuthorID })
		if s.Void || by < 0 || !theirs || p.Row.DecidedAt != nil && s.EndedAt.Before(*p.Row.DecidedAt) {
			continue
		}
		if newel.Untrained(home.entries, home.people[by], p.Assignment.ProgramID, from, s.StartedAt) {
			p.Untrained = append(p.Untrained, s)
		}
	}
	p.StartsFrom = from
	return nil
}
