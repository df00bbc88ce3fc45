package app

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/revision"
)

// VersionsView is the history of a program.
type VersionsView struct {
	Program  program.Program
	Versions []program.VersionSummary // newest first
	Learners []newel.ProgramLearner
	HasDraft bool
}

// Versions returns the published versions of a program and the learners on
// each.
func (a *App) Versions(ctx context.Context, actor newel.Actor, id newel.ProgramID) (v VersionsView, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		if v.Program, err = tx.Program(ctx, id); err != nil {
			return err
		}
		if v.Versions, err = tx.Versions(ctx, id); err != nil {
			return err
		}
		if v.Learners, err = tx.ProgramLearners(ctx, id); err != nil {
			return err
		}
		_, err := tx.Draft(ctx, id)
		v.HasDraft = err == nil
		return ignore(err, newel.ErrNotFound)
	})
	return v, err
}

// CompareView holds the changes between two states of a program.
type CompareView struct {
	Program       program.Program
	From, To      string // numbers of versions, or "draft"
	Before, After program.Document
	Comparison    revision.Comparison
}

// DraftName is the name of the draft among the states of a program.
const DraftName = "draft"

// Compare compares two states of a program: versions by number, or the draft.
func (a *App) Compare(ctx context.Context, actor newel.Actor, id newel.ProgramID, from, to string) (v CompareView, err error) {
	v.From, v.To = from, to
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		if v.Program, err = tx.Program(ctx, id); err != nil {
			return err
		}
		if v.Before, err = stateOf(ctx, tx, id, from); err != nil {
			return err
		}
		if v.After, err = stateOf(ctx, tx, id, to); err != nil {
			return err
		}
		v.Comparison, err = revision.Compare(v.Before, v.After)
		return err
	})
	return v, err
}

func stateOf(ctx context.Context, tx *postgres.Tx, id newel.ProgramID, name string) (program.Document, error) {
	if name == DraftName {
		draft, err := tx.Draft(ctx, id)
		return draft.Document, err
	}
	n, err := strconv.Atoi(name)
	if err != nil {
		return program.Document{}, fmt.Errorf("version %q: %w", name, newel.ErrNotFound)
	}
	version, err := versionNumbered(ctx, tx, id, n)
	return version.Document, err
}

func versionNumbered(ctx context.Context, tx *postgres.Tx, id newel.ProgramID, n int) (program.Version, error) {
	list, err := tx.Versions(ctx, id)
	if err != nil {
		return program.Version{}, err
	}
	i := slices.IndexFunc(list, func(v program.VersionSummary) bool { return v.Number == n })
	if i < 0 {
		return program.Version{}, newel.ErrNotFound
	}
	return tx.Version(ctx, list[i].ID)
}

// ProgramAt returns a program at one of its versions.
func (a *App) ProgramAt(ctx context.Context, actor newel.Actor, id newel.ProgramID, n int) (v ProgramView, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		if v.Program, err = tx.Program(ctx, id); err != nil {
			return err
		}
		if v.Versions, err = tx.Versions(ctx, id); err != nil {
			return err
		}
		version, err := versionNumbered(ctx, tx, id, n)
		v.Version = &version
		return err
	})
	return v, err
}

// MoveView is what moving a learner to the latest version of a program would
// do.
type MoveView struct {
	Learner    newel.Learner
	Program    program.Program
	Assignment newel.Assignment
	From, To   int // numbers
	Stays      []MoveStay
	Overrides  []MoveOverride
	After      string // ids of the open placements; if they change, the page is outdated
}

// MoveStay is one open placement and what would happen to it.
type MoveStay struct {
	Placement newel.Placement
	Title     string // of the step now
	NewTitle  string // of the same step in the other version; empty if it is gone
	PhaseLine bool   // taught or judged differently: the graph gets a phase line, and counting starts over
}

// MoveOverride is a change for this learner only that moves along.
type MoveOverride struct {
	Title string
	Kept  bool // the other version has the step
}

// MoveForm returns what moving an assignment to the latest version would do.
func (a *App) MoveForm(ctx context.Context, actor newel.Actor, id newel.AssignmentID) (v MoveView, err error) {
	err = a.act(ctx, actor, newel.AssignProgram, func(tx *postgres.Tx) error {
		s, err := tx.Assignment(ctx, id)
		if err != nil {
			return err
		}
		m, err := moveOf(ctx, tx, s)
		v = m.view
		return err
	})
	return v, err
}

type move struct {
	view     MoveView
	latest   program.Version
	versions map[newel.VersionID]program.Version
}

func moveOf(ctx context.Context, tx *postgres.Tx, s newel.Assignment) (m move, err error) {
	m.view.Assignment, m.versions = s, map[newel.VersionID]program.Version{}
	if m.view.Learner, err = tx.Learner(ctx, s.LearnerID); err != nil {
		return m, err
	}
	if m.view.Program, err = tx.Program(ctx, s.ProgramID); err != nil {
		return m, err
	}
	if m.latest, err = tx.LatestVersion(ctx, s.ProgramID); err != nil {
		return m, err
	}
	m.view.To = m.latest.Number
	placements, err := tx.Placements(ctx, s.ID)
	if err != nil {
		return m, err
	}
	for _, p := range placements {
		if p.EndedAt != nil {
			continue
		}
		stay, err := m.stay(ctx, tx, p)
		if err != nil {
			return m, err
		}
		m.view.Stays = append(m.view.Stays, stay)
		m.view.After += p.ID.String() + " "
	}
	for key := range s.Overrides {
		_, step := m.latest.Document.Step(key)
		title := m.latest.Document.StepTitle(key)
		for _, v := range m.versions {
			if title == "" {
				title = v.Document.StepTitle(key)
			}
		}
		m.view.Overrides = append(m.view.Overrides, MoveOverride{Title: title, Kept: step != nil})
	}
	return m, nil
}

func (m *move) stay(ctx context.Context, tx *postgres.Tx, p newel.Placement) (MoveStay, error) {
	from, known := m.versions[p.VersionID]
	if !known {
		var err error
		if from, err = tx.VersionOf(ctx, p.ID); err != nil {
			return MoveStay{}, err
		}
		m.versions[p.VersionID], m.view.From = from, from.Number
	}
	changes, err := revision.Compare(from.Document, m.latest.Document)
	if err != nil {
		return MoveStay{}, fmt.Errorf("compare versions: %w", err)
	}
	return MoveStay{
		Placement: p, Title: from.Document.StepTitle(p.StepKey), NewTitle: m.latest.Document.StepTitle(p.StepKey),
		PhaseLine: changes.PhaseLine(p.StepKey),
	}, nil
}

// Move moves all open placements of an assignment to the latest version of its
// program; see takeOver. after lists the placements that the page showed.
func (a *App) Move(ctx context.Context, actor newel.Actor, form Form, id newel.AssignmentID, after, reason string) (string, error) {
	return a.once(ctx, actor, newel.AssignProgram, form, func(tx *postgres.Tx) (string, error) {
		var e newel.Invalid
		reason = e.Text("reason", reason, newel.MaxNote, true)
		if err := e.OrNil(); err != nil {
			return "", err
		}
		if err := lockStays(ctx, tx, id); err != nil {
			return "", err
		}
		s, err := tx.LockAssignment(ctx, id)
		if err != nil {
			return "", err
		}
		m, err := moveOf(ctx, tx, s)
		if err != nil {
			return "", err
		}
		if m.view.After != after {
			return "", newel.ErrConflict
		}
		if err := a.takeOver(ctx, tx, m, newel.Decision{FamilyID: s.FamilyID, Kind: newel.DecisionRevise, Reason: reason}); err != nil {
			return "", err
		}
		return href.Learner.To(s.LearnerID), tx.Note(ctx, "teaching.moved", s.FamilyID, s.ID.UUID)
	})
}

// lockStays locks all open placements of an assignment, in a fixed order.
func lockStays(ctx context.Context, tx *postgres.Tx, id newel.AssignmentID) error {
	placements, err := tx.Placements(ctx, id)
	if err != nil {
		return err
	}
	slices.SortFunc(placements, func(a, b newel.Placement) int { return strings.Compare(a.ID.String(), b.ID.String()) })
	for _, p := range placements {
		if p.EndedAt == nil {
			if err := tx.LockPlacement(ctx, p.ID); err != nil {
				return err
			}
		}
	}
	return nil
}

// takeOver moves all open placements of an assignment to the latest version of
// its program. It is the only way in which a learner gets another version. A
// placement whose step is taught or judged differently there ends with the
// decision as its reason, and a new one starts; others continue. A placement
// whose step is missing there stays on its version. The learner's changes are
// kept. The decision is always stored with the placement that it names, if
// any.
func (a *App) takeOver(ctx context.Context, tx *postgres.Tx, m move, d newel.Decision) error {
	for _, stay := range m.view.Stays {
		if p := stay.Placement; p.VersionID == m.latest.ID || stay.NewTitle == "" {
			continue
		}
		if err := a.takeOverStay(ctx, tx, m, stay, d); err != nil {
			return err
		}
	}
	return nil
}

func (a *App) takeOverStay(ctx context.Context, tx *postgres.Tx, m move, stay MoveStay, d newel.Decision) (err error) {
	p, decided := stay.Placement, stay.Placement.ID == d.PlacementID
	if !decided {
		if d, err = decisionFor(ctx, tx, d, p.ID); err != nil {
			return err
		}
	}
	if !stay.PhaseLine {
		if err := tx.SetPlacementVersion(ctx, p.ID, m.latest.ID); err != nil || !decided {
			return err
		}
		return tx.AddDecision(ctx, d)
	}
	if err := tx.EndPlacement(ctx, p.ID); err != nil {
		return err
	}
	strand, step := m.latest.Document.Step(p.StepKey)
	next, err := a.openPlacement(ctx, tx, m.view.Assignment, m.latest, strand, step)
	if err != nil {
		return err
	}
	d.NextPlacement = &next.ID
	return tx.AddDecision(ctx, d)
}

// decisionFor returns the same decision about another placement, with that
// placement's reading.
func decisionFor(ctx context.Context, tx *postgres.Tx, d newel.Decision, placement newel.PlacementID) (newel.Decision, error) {
	d.ID, d.PlacementID, d.Reading, d.Answered = newel.NewID[newel.DecisionID](), placement, nil, nil
	reading, err := tx.Reading(ctx, placement)
	if err == nil {
		d.Reading, d.Answered = reading.Body, reading.Gist
	}
	return d, ignore(err, newel.ErrNotFound)
}
