package app

import (
	"context"
	"errors"
	"strings"
	"unicode/utf8"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/revision"
	"newel/internal/writing"
)

// DraftView is a draft in the editor.
type DraftView struct {
	Program   program.Program // as named in the library
	Draft     program.Draft
	Published int // number of the latest version; 0 if there is none
	Advice    []writing.Advice
}

// Draft returns a program's draft with the findings of its checks.
func (a *App) Draft(ctx context.Context, actor newel.Actor, id newel.ProgramID) (v DraftView, err error) {
	err = a.act(ctx, actor, newel.DraftProgram, func(tx *postgres.Tx) error {
		v, err = draftView(ctx, tx, id)
		return err
	})
	return v, err
}

func draftView(ctx context.Context, tx *postgres.Tx, id newel.ProgramID) (v DraftView, err error) {
	if v.Draft, err = tx.Draft(ctx, id); err != nil {
		return v, err
	}
	v.Program = program.Program{ID: id, Title: v.Draft.Title, SkillArea: v.Draft.SkillArea}
	v.Published = v.Draft.Published
	around, err := draftContext(ctx, tx, id, &v.Draft.Document)
	v.Advice = writing.Review(&v.Draft.Document, around)
	return v, err
}

// draftContext returns what the checks need besides the program's own text:
// other programs' skills, if it names any.
func draftContext(ctx context.Context, tx *postgres.Tx, id newel.ProgramID, d *program.Document) (writing.Context, error) {
	if len(d.Needs)+len(d.Teaches) == 0 {
		return writing.Context{Program: id}, nil
	}
	v, err := skillsView(ctx, tx)
	return writing.Context{Program: id, Shelf: v.Shelf}, err
}

// BeginDraft starts a revision from the latest version. If a draft exists, it
// returns that draft's location.
func (a *App) BeginDraft(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID) (string, error) {
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		if _, err := tx.Draft(ctx, id); !errors.Is(err, newel.ErrNotFound) {
			return href.Draft.To(id), err
		}
		latest, err := tx.LatestVersion(ctx, id)
		if err != nil {
			return "", err
		}
		return href.Draft.To(id), beginDraft(ctx, tx, latest)
	})
}

// DraftInput is what the editor submits: some or all fields as typed, the
// revision that they are based on, and an optional edit.
type DraftInput struct {
	Rev int
	// Sheet: missing fields keep their values; without strands, the order of
	// steps stays as it is.
	Sheet program.Sheet
	Edit  *DraftEdit // may be nil
	// Piecemeal saves the fields without conflicts even if others conflict;
	// otherwise nothing is saved on a conflict.
	Piecemeal bool
	// Confirmed, for publishing: the displayed confirmation that nothing in the
	// program restrains, hurts or withholds.
	Confirmed string
}

// DraftEdit changes the structure of a draft.
type DraftEdit struct {
	// Do changes the document and returns where to continue in the editor (a
	// query) and what it did: a kind, a colon and an object.
	Do func(*program.Document) (goOn, deed string)
	// With is Do with what the checks need besides the program's own text.
	With func(*program.Document, writing.Context) (goOn, deed string)
	// Undo and Redo move between states instead, and return to the same place.
	Undo, Redo bool
	Next       string
}

// DraftSaved describes the draft after saving.
type DraftSaved struct {
	Location  string
	View      DraftView
	Conflicts []revision.FieldConflict
	Others    []string // fields that someone else has changed since the revision
}

// SaveDraft saves the draft as typed, complete or not. If someone else has
// changed a different field, both changes are kept. If it is the same field,
// SaveDraft returns a *DraftConflict; with Piecemeal, the stored text stays and
// the field is listed among the conflicts.
func (a *App) SaveDraft(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, in DraftInput) (out DraftSaved, err error) {
	if err := checkStorable(in.Sheet); err != nil {
		return out, err
	}
	done := false
	out.Location, err = a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		done = true
		out, err = a.saveDraft(ctx, tx, id, in)
		return out.Location, err
	})
	if err != nil || done {
		return out, err
	}
	out.View, err = a.Draft(ctx, actor, id) // sent before: only return the current state
	return out, err
}

// checkStorable rejects two things that database text cannot hold: invalid
// UTF-8 and the character 0.
func checkStorable(s program.Sheet) error {
	var e newel.Invalid
	for name, value := range s.Fields {
		switch {
		case !utf8.ValidString(value):
			e.Add(name, "field.not_text")
		case strings.ContainsRune(value, 0):
			e.Add(name, "field.control_characters")
		}
	}
	return e.OrNil()
}

func (a *App) saveDraft(ctx context.Context, tx *postgres.Tx, id newel.ProgramID, in DraftInput) (out DraftSaved, err error) {
	draft, err := tx.LockDraft(ctx, id)
	if err != nil {
		return out, err
	}
	merged, err := mergeDraft(ctx, tx, draft, in)
	if err != nil {
		return out, err
	}
	if len(merged.Conflicts) > 0 && !in.Piecemeal {
		theirs, err := draftView(ctx, tx, id)
		if err != nil {
			return out, err
		}
		return out, &DraftConflict{Mine: merged.Mine, Fields: merged.Conflicts, Theirs: theirs}
	}
	if merged.Place != "" {
		if err := putDraft(ctx, tx, draft, merged.Document, "typed:"+merged.Place); err != nil {
			return out, err
		}
		if in.Edit != nil {
			if draft, err = tx.Draft(ctx, id); err != nil {
				return out, err
			}
		}
	}
	goOn, err := editDraft(ctx, tx, draft, in.Edit)
	if err != nil {
		return out, err
	}
	out.Location, out.Conflicts, out.Others = href.Draft.To(id)+goOn, merged.Conflicts, merged.Others
	if out.View, err = draftView(ctx, tx, id); err != nil {
		return out, err
	}
	return out, nameUnpublished(ctx, tx, &out.View)
}

// putDraft stores the next state of a draft. A series of typing gets a single
// audit entry.
func putDraft(ctx context.Context, tx *postgres.Tx, draft program.Draft, document program.Document, change string) error {
	next := draft.Next(document, change, tx.Scope().Account, tx.Now())
	if err := tx.PutDraft(ctx, draft.ProgramID, draft.Rev, next); err != nil || *next.UndoTo != draft.Rev {
		return err
	}
	return tx.Note(ctx, "authoring.saved", newel.FamilyID{}, draft.ProgramID.UUID)
}

func editDraft(ctx context.Context, tx *postgres.Tx, draft program.Draft, edit *DraftEdit) (goOn string, err error) {
	switch {
	case edit == nil:
		return "", nil
	case edit.Undo:
		return edit.Next, restoreState(ctx, tx, draft, draft.UndoTo, draft.Undone)
	case edit.Redo:
		return edit.Next, restoreState(ctx, tx, draft, draft.RedoTo, draft.Redone)
	}
	document := draft.Document.Clone()
	do := edit.Do
	if edit.With != nil {
		around, err := draftContext(ctx, tx, draft.ProgramID, &document)
		if err != nil {
			return "", err
		}
		do = func(d *program.Document) (string, string) { return edit.With(d, around) }
	}
	goOn, change := do(&document)
	if change == "" || revision.SameSheet(document, draft.Document) {
		return goOn, nil
	}
	return goOn, putDraft(ctx, tx, draft, document, change)
}

// restoreState adds a state with the content of an earlier or undone one, if
// there is one.
func restoreState(ctx context.Context, tx *postgres.Tx, draft program.Draft, to *int, state func(program.DraftState) program.DraftState) error {
	if to == nil {
		return nil
	}
	target, err := tx.DraftState(ctx, draft.ProgramID, *to)
	if err != nil {
		return ignore(err, newel.ErrNotFound)
	}
	return tx.PutDraft(ctx, draft.ProgramID, draft.Rev, state(target))
}

// nameUnpublished makes the library show the draft's title until a version is
// published.
func nameUnpublished(ctx context.Context, tx *postgres.Tx, v *DraftView) error {
	if v.Published > 0 {
		return nil
	}
	var e newel.Invalid
	d := v.Draft.Document
	title, area := e.Line("title", d.Title, newel.MaxLine, true), e.Line("skill_area", d.SkillArea, newel.MaxName, false)
	if e.OrNil() != nil || title == v.Program.Title && area == v.Program.SkillArea {
		return nil
	}
	v.Program.Title, v.Program.SkillArea = title, area
	return tx.NameProgram(ctx, v.Program.ID, title, area)
}

// SubmitDraft saves the draft as typed and submits it for sign-off. It returns
// the program's location.
func (a *App) SubmitDraft(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, in DraftInput) (string, error) {
	if err := checkStorable(in.Sheet); err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		if _, err := a.saveDraft(ctx, tx, id, in); err != nil {
			return "", err
		}
		if err := tx.SubmitDraft(ctx, id, true); err != nil {
			return "", err
		}
		return href.Program.To(id), tx.Note(ctx, "authoring.handed_in", newel.FamilyID{}, id.UUID)
	})
}

// Publish saves the draft as typed and signs it off as the next version. What
// was typed stays saved even if it cannot be published; the error is then an
// *newel.Invalid, and the draft is one revision ahead. The draft is also saved
// for actors who may edit but not publish.
func (a *App) Publish(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, in DraftInput) (string, error) {
	if err := checkStorable(in.Sheet); err != nil {
		return "", err
	}
	var before string
	err := a.act(ctx, actor, newel.DraftProgram, func(tx *postgres.Tx) (err error) {
		if before, err = tx.FormSent(ctx, form.Token); err != nil || before != "" {
			return err
		}
		_, err = a.saveDraft(ctx, tx, id, in)
		return err
	})
	if err != nil || before != "" {
		return before, err
	}
	return a.once(ctx, actor, newel.PublishProgram, form, func(tx *postgres.Tx) (string, error) {
		return publish(ctx, tx, id, in.Confirmed)
	})
}

func publish(ctx context.Context, tx *postgres.Tx, id newel.ProgramID, confirmed string) (string, error) {
	draft, err := tx.Draft(ctx, id)
	if err != nil {
		return "", err
	}
	var e newel.Invalid
	if confirmed == "" {
		e.Add("confirmed", "program.not_confirmed")
	}
	around, err := draftContext(ctx, tx, id, &draft.Document)
	if err != nil {
		return "", err
	}
	for _, a := range writing.Review(&draft.Document, around) {
		if a.Severity == program.BlocksPublishing {
			e.Problems = append(e.Problems, a.Problem)
		}
	}
	if err := e.OrNil(); err != nil {
		return "", err
	}
	if err := storedPictures(ctx, tx, &draft.Document); err != nil {
		return "", err
	}
	versions, err := tx.Versions(ctx, id)
	if err != nil {
		return "", err
	}
	v := program.Version{ID: newel.NewID[newel.VersionID](), ProgramID: id, Number: 1, Document: draft.Document, Confirmed: confirmed}
	if len(versions) > 0 {
		v.Number = versions[0].Number + 1
	}
	if v.Hash, err = v.Document.Hash(); err != nil {
		return "", err
	}
	if err := tx.AddVersion(ctx, v); err != nil {
		return "", err
	}
	if err := tx.NameProgram(ctx, id, v.Document.Title, v.Document.SkillArea); err != nil {
		return "", err
	}
	if around.Shelf != nil {
		if err := listSkills(ctx, tx, around.Shelf, &v.Document); err != nil {
			return "", err
		}
	}
	if err := tx.DropDraft(ctx, id); err != nil {
		return "", err
	}
	return href.Program.To(id), tx.Note(ctx, "authoring.published", newel.FamilyID{}, v.ID.UUID)
}
