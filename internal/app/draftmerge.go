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

// DraftConflict reports that someone else has changed the same fields of the
// draft. Their state is stored; Mine is returned: what was typed, and stored
// values for everything else.
type DraftConflict struct {
	Mine   program.Sheet
	Fields []revision.FieldConflict
	Theirs DraftView
}

// Error returns the draft's current revision.
func (e *DraftConflict) Error() string {
	return fmt.Sprintf("the draft is at revision %d", e.Theirs.Draft.Rev)
}

// Unwrap returns ErrConflict.
func (e *DraftConflict) Unwrap() error { return newel.ErrConflict }

// mergeDraft merges the editor's input with the stored draft.
func mergeDraft(ctx context.Context, tx *postgres.Tx, draft program.Draft, in DraftInput) (revision.Typed, error) {
	if in.Rev == draft.Rev {
		return revision.Take(draft.Document, in.Sheet), nil
	}
	state, err := tx.DraftState(ctx, draft.ProgramID, in.Rev)
	if errors.Is(err, newel.ErrNotFound) { // the revision is too old
		return revision.TakeUnknown(draft.Document, in.Sheet), nil
	}
	if err != nil {
		return revision.Typed{}, err
	}
	return revision.TakeSince(state.Document, draft.Document, in.Sheet)
}
