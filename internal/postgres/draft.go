package postgres

import (
	"context"
	"errors"
	"fmt"

	"newel/internal/newel"
	"newel/internal/program"
)

// AddDraft starts a draft of the program. It returns ErrConflict if there is
// one already.
func (tx *Tx) AddDraft(ctx context.Context, prog newel.ProgramID, d program.Document) (err error) {
	defer wrap(&err, "add draft of %s", prog)
	if err := tx.staff(); err != nil {
		return err
	}
	err = tx.exec(ctx, `insert into draft (clinic_id, program_id, document, rev, updated_by, updated_at)
		values (@scope_clinic, @program, @document, 1, @scope_account, @now)`,
		args{"program": prog, "document": d})
	if err != nil {
		return err
	}
	return tx.addDraftState(ctx, prog, program.DraftState{Rev: 1, Document: d})
}

func (tx *Tx) addDraftState(ctx context.Context, program newel.ProgramID, s program.DraftState) error {
	if s.Since.IsZero() {
		s.Since = tx.now
	}
	return tx.exec(ctx, `insert into draft_state (clinic_id, program_id, rev, document, deed, edited_by, edited_at, since, undo_to, redo_to)
		values (@scope_clinic, @program, @rev, @document, @deed, @scope_account, @now, @since, @undo, @redo)`,
		args{"program": program, "rev": s.Rev, "document": s.Document, "deed": s.Deed, "since": s.Since, "undo": s.UndoTo, "redo": s.RedoTo})
}

// Draft returns the draft of a program.
func (tx *Tx) Draft(ctx context.Context, prog newel.ProgramID) (_ program.Draft, err error) {
	defer wrap(&err, "draft of %s", prog)
	return one[program.Draft](ctx, tx, `
		select d.program_id, d.document, d.rev, d.updated_by, coalesce(a.name, '') as updated_by_name, d.updated_at,
			coalesce(s.deed, '') as deed, coalesce(s.since, d.updated_at) as since, u.rev as undo_to, r.rev as redo_to, coalesce(r.deed, '') as redo_deed,
			coalesce(h.name, '') as handed_in_by, d.handed_in_at, p.title, p.skill_area,
			coalesce((select max(v.number) from version v where $staff(v) and v.program_id = d.program_id and not v.own), 0) as published
		from draft d
		join program p on $staff(p) and p.id = d.program_id
		left join account a on a.clinic_id = d.clinic_id and a.id = d.updated_by
		left join account h on h.clinic_id = d.clinic_id and h.id = d.handed_in_by
		left join draft_state s on $staff(s) and s.program_id = d.program_id and s.rev = d.rev
		left join draft_state u on $staff(u) and u.program_id = d.program_id and u.rev = s.undo_to
		left join draft_state r on $staff(r) and r.program_id = d.program_id and r.rev = s.redo_to
		where $staff(d) and d.program_id = @program`, args{"program": prog})
}

// LockDraft returns the draft and locks it against other saves until the
// transaction ends.
func (tx *Tx) LockDraft(ctx context.Context, prog newel.ProgramID) (_ program.Draft, err error) {
	defer wrap(&err, "lock draft of %s", prog)
	_, err = one[struct{ Rev int }](ctx, tx, `select rev from draft d where $staff(d) and program_id = @program for update`, args{"program": prog})
	if err != nil {
		return program.Draft{}, err
	}
	return tx.Draft(ctx, prog)
}

// DraftState returns the draft as it was at a revision. It returns ErrNotFound
// if that revision is no longer kept.
func (tx *Tx) DraftState(ctx context.Context, prog newel.ProgramID, rev int) (_ program.DraftState, err error) {
	defer wrap(&err, "draft of %s at %d", prog, rev)
	return one[program.DraftState](ctx, tx, `select rev, document, deed, edited_at, since, undo_to, redo_to from draft_state s
		where $staff(s) and program_id = @program and rev = @rev`, args{"program": prog, "rev": rev})
}

// PutDraft stores the next state of the draft. It returns ErrConflict unless
// the draft is still at the revision. Only the latest states are kept.
func (tx *Tx) PutDraft(ctx context.Context, prog newel.ProgramID, rev int, next program.DraftState) (err error) {
	defer wrap(&err, "put draft of %s", prog)
	if next.Since.IsZero() {
		next.Since = tx.now
	}
	err = tx.exec(ctx, `
		with moved as (
			update draft d set document = @document, rev = rev + 1, updated_by = @scope_account, updated_at = @now
			where $staff(d) and program_id = @program and rev = @rev returning rev
		), old as (
			delete from draft_state s where $staff(s) and program_id = @program and rev <= @rev + 1 - @kept
		)
		insert into draft_state (clinic_id, program_id, rev, document, deed, edited_by, edited_at, since, undo_to, redo_to)
		select @scope_clinic, @program, rev, @document, @deed, @scope_account, @now, @since, @undo, @redo from moved`,
		args{
			"program": prog, "rev": rev, "document": next.Document, "deed": next.Deed, "since": next.Since, "undo": next.UndoTo, "redo": next.RedoTo,
			"kept": program.DraftStates,
		})
	if !errors.Is(err, newel.ErrNotFound) {
		return err
	}
	now, err := one[struct{ Rev int }](ctx, tx, `select rev from draft d where $staff(d) and program_id = @program`, args{"program": prog})
	if err != nil {
		return err
	}
	return fmt.Errorf("%w: at revision %d, not %d", newel.ErrConflict, now.Rev, rev)
}

// SubmitDraft records whether the draft is waiting for sign-off.
func (tx *Tx) SubmitDraft(ctx context.Context, program newel.ProgramID, handedIn bool) (err error) {
	defer wrap(&err, "hand in draft of %s", program)
	return tx.exec(ctx, `update draft d set handed_in_by = case when @handed_in then @scope_account::uuid end,
			handed_in_at = case when @handed_in then @now::timestamptz end
		where $staff(d) and program_id = @program`, args{"program": program, "handed_in": handedIn})
}

// DropDraft removes a published draft with all its states.
func (tx *Tx) DropDraft(ctx context.Context, program newel.ProgramID) (err error) {
	defer wrap(&err, "drop draft of %s", program)
	return tx.exec(ctx, `delete from draft d where $staff(d) and program_id = @program`, args{"program": program})
}
