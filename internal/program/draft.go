package program

import (
	"time"

	"newel/internal/newel"
)

// Draft is the version being written. Rev is raised by each save, so that two
// editors notice each other.
type Draft struct {
	ProgramID     newel.ProgramID
	Document      Document
	Rev           int
	UpdatedBy     newel.AccountID
	UpdatedByName string
	UpdatedAt     time.Time

	// What led to this state, and where undo and redo lead; see DraftState.
	Deed     string
	Since    time.Time
	UndoTo   *int
	RedoTo   *int
	RedoDeed string

	// A trainee's draft waits for sign-off once it has been handed in.
	HandedInBy string // name; empty: it does not wait
	HandedInAt *time.Time

	// The program's own: what the library calls it, and its latest version; 0 if
	// there is none.
	Title, SkillArea string
	Published        int
}

// DraftState is one state of a draft. States are only ever added: undoing
// adds one that is like an earlier one. So whoever began to write from any of
// them can be told apart from whoever wrote in between.
type DraftState struct {
	Rev      int
	Document Document
	Deed     string // what led here: a kind, a colon and what it was done to
	EditedAt time.Time
	Since    time.Time // when this run of typing began
	UndoTo   *int      // revision that undo goes back to; nil: nothing to undo
	RedoTo   *int      // revision that was undone; nil: nothing to redo
}

// DraftStates is how many states of a draft are kept.
const DraftStates = 200

// typingRun is how long typing in one place counts as one deed.
const typingRun = time.Minute

// Next gives the state after an edit of the draft by an account: typing on in
// the same place within a minute is one deed, undone at once.
func (d *Draft) Next(document Document, deed string, by newel.AccountID, at time.Time) DraftState {
	next := DraftState{Document: document, Deed: deed, Since: at, UndoTo: &d.Rev}
	if d.Deed == deed && d.UpdatedBy == by && d.UndoTo != nil && d.RedoTo == nil && at.Sub(d.Since) < typingRun {
		next.Since, next.UndoTo = d.Since, d.UndoTo
	}
	return next
}

// Undone gives the state that undoes the latest deed, where target is the
// state at UndoTo.
func (d *Draft) Undone(target DraftState) DraftState {
	return DraftState{Document: target.Document, Deed: target.Deed, UndoTo: target.UndoTo, RedoTo: &d.Rev}
}

// Redone gives the state that does again what was undone, where target is
// the state at RedoTo.
func (d *Draft) Redone(target DraftState) DraftState {
	return DraftState{Document: target.Document, Deed: target.Deed, UndoTo: &d.Rev, RedoTo: target.RedoTo}
}
