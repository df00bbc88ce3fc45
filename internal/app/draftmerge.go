package app

import (
	"context"
	"errors"
	"fmt"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/revision"
)

// DraftConflict says that somebody else changed the same fields of the draft
// in between. Both states are kept: theirs is stored, Mine is handed back:
// what was typed, and for everything else what is stored.
type DraftConflict struct {
	Mine   program.Sheet
	Fields []revision.FieldConflict
	Theirs DraftView
}

// Error says at which revision the draft is now.
func (e *DraftConflict) Error() string {
	return fmt.Sprintf("the draft is at revision %d", e.Theirs.Draft.Rev)
}

// Unwrap makes it a conflict.
func (e *DraftConflict) Unwrap() error { return newel.ErrConflict }

// mergeDraft merges what came from an editor with the draft as it is stored now.
func mergeDraft(ctx context.Context, tx *postgres.Tx, draft program.Draft, in DraftInput) (revision.Typed, error) {
	if in.Rev == draft.Rev {
		return revision.Take(draft.Document, in.Sheet), nil
	}
	state, err := tx.DraftState(ctx, draft.ProgramID, in.Rev)
	if errors.Is(err, newel.ErrNotFound) { // too long ago
		return revision.TakeUnknown(draft.Document, in.Sheet), nil
	}
	if err != nil {
		return revision.Typed{}, err
	}
	return revision.TakeSince(state.Document, draft.Document, in.Sheet)
}
