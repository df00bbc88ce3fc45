package program

import (
	"time"

	"newel/internal/newel"
)

// Draft is the version being written. Each save increments Rev, so that
// concurrent edits are detected.
type Draft struct {
	ProgramID     newel.ProgramID
	Document      Document
	Rev           int
	UpdatedBy     newel.AccountID
	UpdatedByName string
	UpdatedAt     time.Time

	// The edit that led to this state, and the states for undo and redo; see
	// DraftState.
	Deed     string
	Since    time.Time
	UndoTo   *int
	RedoTo   *int
	RedoDeed string

	// A trainee's draft waits for sign-off after being submitted.
	HandedInBy string // name; empty if not submitted
	HandedInAt *time.Time

	// The program's title and area in the library, and its latest version; 0 if
	// there is none.
	Title, SkillArea string
	Published        int
}

// DraftState is one state of a draft. States are only ever added: an undo adds
// a copy of an earlier one. This keeps edits based on any state distinguishable
// from edits made in between.
type DraftState struct {
	Rev      int
	Document Document
	Deed     string // the edit that led here: a kind, a colon and its object
	EditedAt time.Time
	Since    time.Time // when this run of typing began
	UndoTo   *int      // revision to return to on undo; nil: nothing to undo
	RedoTo   *int      // revision that was undone; nil: nothing to redo
}

// DraftStates is the maximum number of states stored per draft.
const DraftStates = 200

// typingRun is how long continued typing in one field counts as a single edit.
const typingRun = time.Minute

// Next returns the state after an account's edit. Typing in the same field
// within a minute counts as one edit, which a single undo reverts.
func (d *Draft) Next(document Document, deed string, by newel.AccountID, at time.Time) DraftState {
	next := DraftState{Document: document, Deed: deed, Since: at, UndoTo: &d.Rev}
	if d.Deed == deed && d.UpdatedBy == by && d.UndoTo != nil && d.RedoTo == nil && at.Sub(d.Since) < typingRun {
		next.Since, next.UndoTo = d.Since, d.UndoTo
	}
	return next
}

// Undone returns the state that undoes the latest edit; target is the state at
// UndoTo.
func (d *Draft) Undone(target DraftState) DraftState {
	return DraftState{Document: target.Document, Deed: target.Deed, UndoTo: target.UndoTo, RedoTo: &d.Rev}
}

// Redone returns the state that redoes what was undone; target is the state at
// RedoTo.
func (d *Draft) Redone(target DraftState) DraftState {
	return DraftState{Document: target.Document, Deed: target.Deed, UndoTo: &d.Rev, RedoTo: target.RedoTo}
}
