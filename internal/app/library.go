package app

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"unicode/utf8"

	"newel/internal/newel"
	"newel/internal/postgres"
)

// Library lists the clinic's programs.
func (a *App) Library(ctx context.Context, actor newel.Actor) (programs []newel.ProgramSummary, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		programs, err = tx.Programs(ctx)
		return err
	})
	return programs, err
}

// ProgramInput begins a program.
type ProgramInput struct{ Title, SkillArea string }

// NewProgram begins a program with an empty draft, and leads to its editor.
func (a *App) NewProgram(ctx context.Context, actor newel.Actor, form Form, in ProgramInput) (string, error) {
	var e newel.Invalid
	title := e.Line("title", in.Title, newel.MaxLine, true)
	area := e.Line("skill_area", in.SkillArea, newel.MaxName, false)
	if err := e.OrNil(); err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		p := newel.Program{ID: newel.NewID[newel.ProgramID](), Title: title, SkillArea: area}
		d := newel.Blank(title)
		d.SkillArea = area
		if err := tx.AddProgram(ctx, p, d); err != nil {
			return "", err
		}
		return draftPath(p.ID), tx.Note(ctx, "authoring.begun", newel.FamilyID{}, p.ID.UUID)
	})
}

func programPath(id newel.ProgramID) string { return "/programs/" + id.String() }

func draftPath(id newel.ProgramID) string { return programPath(id) + "/draft" }

// ProgramView is a program as the library shows it.
type ProgramView struct {
	Program  newel.Program
	Version  *newel.Version // the latest; nil before the first is published
	Versions []newel.VersionSummary
	Learners []newel.ProgramLearner
	HasDraft bool
}

// Program gives a program with its latest version.
func (a *App) Program(ctx context.Context, actor newel.Actor, id newel.ProgramID) (v ProgramView, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		if v.Program, err = tx.Program(ctx, id); err != nil {
			return err
		}
		if v.Versions, err = tx.Versions(ctx, id); err != nil {
			return err
		}
		if len(v.Versions) > 0 {
			version, err := tx.LatestVersion(ctx, id)
			if err != nil {
				return err
			}
			v.Version = &version
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

// ignore turns errors of one kind into nil.
func ignore(err, kind error) error {
	if errors.Is(err, kind) {
		return nil
	}
	return err
}

// DraftView is a draft in the editor.
type DraftView struct {
	Program   newel.Program
	Draft     newel.Draft
	UpdatedBy string // name
	Published int    // number of the latest version; 0 if there is none
	Findings  []newel.Finding
}

// Draft gives a program's draft with what Check says about it.
func (a *App) Draft(ctx context.Context, actor newel.Actor, id newel.ProgramID) (v DraftView, err error) {
	err = a.act(ctx, actor, newel.DraftProgram, func(tx *postgres.Tx) error {
		v, err = draftView(ctx, tx, id)
		return err
	})
	return v, err
}

func draftView(ctx context.Context, tx *postgres.Tx, id newel.ProgramID) (v DraftView, err error) {
	if v.Program, err = tx.Program(ctx, id); err != nil {
		return v, err
	}
	if v.Draft, err = tx.Draft(ctx, id); err != nil {
		return v, err
	}
	versions, err := tx.Versions(ctx, id)
	if err != nil {
		return v, err
	}
	if len(versions) > 0 {
		v.Published = versions[0].Number
	}
	who, err := tx.StaffMember(ctx, v.Draft.UpdatedBy)
	v.UpdatedBy = who.Name
	v.Findings = v.Draft.Document.Check()
	return v, ignore(err, newel.ErrNotFound)
}

// BeginDraft begins a revision from the latest version. If a draft exists
// already, it leads there.
func (a *App) BeginDraft(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID) (string, error) {
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		if _, err := tx.Draft(ctx, id); !errors.Is(err, newel.ErrNotFound) {
			return draftPath(id), err
		}
		latest, err := tx.LatestVersion(ctx, id)
		if err != nil {
			return "", err
		}
		return draftPath(id), beginDraft(ctx, tx, latest)
	})
}

// DraftInput is the editor's form: everything as typed, from which revision
// it began, and what is to be done to the steps on the way.
type DraftInput struct {
	Rev   int
	Sheet newel.Sheet
	Edit  func(*newel.Document) (field string) // may be nil; gives where to go on
}

// DraftConflict says that somebody else saved the draft in between. Both
// states are kept: theirs is stored, Mine is handed back.
type DraftConflict struct {
	Mine   newel.Document
	Theirs DraftView
}

// Error says at which revision the draft is now.
func (e *DraftConflict) Error() string {
	return fmt.Sprintf("the draft is at revision %d", e.Theirs.Draft.Rev)
}

// Unwrap makes it a conflict.
func (e *DraftConflict) Unwrap() error { return newel.ErrConflict }

// SaveDraft keeps the draft as typed, complete or not, and leads back to the
// editor.
func (a *App) SaveDraft(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, in DraftInput) (string, error) {
	if err := storable(in.Sheet); err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		return a.saveDraft(ctx, tx, id, in)
	})
}

// storable refuses the two things that text in the database cannot be: bytes
// that are no text, and the character 0.
func storable(s newel.Sheet) error {
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

func (a *App) saveDraft(ctx context.Context, tx *postgres.Tx, id newel.ProgramID, in DraftInput) (string, error) {
	current, err := draftView(ctx, tx, id)
	if err != nil {
		return "", err
	}
	mine := in.Sheet.Completed(&current.Draft.Document).Document()
	mine.CarryFrom(&current.Draft.Document)
	if current.Draft.Rev != in.Rev && !sameSheet(mine, current.Draft.Document) {
		return "", &DraftConflict{Mine: mine, Theirs: current}
	}
	goOn := ""
	if in.Edit != nil {
		goOn = in.Edit(&mine)
	}
	if err := tx.SaveDraft(ctx, id, current.Draft.Rev, mine); err != nil {
		return "", err
	}
	if err := a.nameUnpublished(ctx, tx, current.Program, mine); err != nil {
		return "", err
	}
	return draftPath(id) + goOn, tx.Note(ctx, "authoring.saved", newel.FamilyID{}, id.UUID)
}

func sameSheet(a, b newel.Document) bool { return reflect.DeepEqual(a.Sheet(), b.Sheet()) }

// nameUnpublished lets the library show the draft's title until a version is
// published; then that version's counts.
func (a *App) nameUnpublished(ctx context.Context, tx *postgres.Tx, p newel.Program, d newel.Document) error {
	var e newel.Invalid
	title, area := e.Line("title", d.Title, newel.MaxLine, true), e.Line("skill_area", d.SkillArea, newel.MaxName, false)
	if e.OrNil() != nil || title == p.Title && area == p.SkillArea {
		return nil
	}
	versions, err := tx.Versions(ctx, p.ID)
	if err != nil || len(versions) > 0 {
		return err
	}
	return tx.NameProgram(ctx, p.ID, title, area)
}

// Publish saves the draft as typed and then signs it off as the next version.
// What was typed stays saved even if it cannot be published; the error then
// is an *newel.Invalid, and the draft is one revision on. Who may draft and
// not publish keeps the draft too.
func (a *App) Publish(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, in DraftInput) (string, error) {
	if err := storable(in.Sheet); err != nil {
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
		return publish(ctx, tx, id)
	})
}

func publish(ctx context.Context, tx *postgres.Tx, id newel.ProgramID) (string, error) {
	draft, err := tx.Draft(ctx, id)
	if err != nil {
		return "", err
	}
	if err := draft.Document.Publishable(); err != nil {
		return "", err
	}
	versions, err := tx.Versions(ctx, id)
	if err != nil {
		return "", err
	}
	v := newel.Version{ID: newel.NewID[newel.VersionID](), ProgramID: id, Number: 1, Document: draft.Document}
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
	if err := tx.DropDraft(ctx, id); err != nil {
		return "", err
	}
	return programPath(id), tx.Note(ctx, "authoring.published", newel.FamilyID{}, v.ID.UUID)
}
