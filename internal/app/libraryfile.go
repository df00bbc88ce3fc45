package app

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/programfile"
)

// Where a program of the library came from.
const (
	OriginCopy    = "copy"
	OriginImport  = "import"
	OriginStarter = "starter"
)

// FileProblems says what in a file cannot be read, line by line.
type FileProblems struct{ Problems []programfile.Problem }

// Error counts them.
func (e *FileProblems) Error() string { return fmt.Sprintf("%d problems in the file", len(e.Problems)) }

// Unwrap makes it an *newel.Invalid about the file.
func (e *FileProblems) Unwrap() error {
	return &newel.Invalid{Problems: []newel.Problem{{Field: "file", Key: "library.unreadable", Args: map[string]any{"n": len(e.Problems)}}}}
}

// zipMark begins every zip file.
var zipMark = []byte("PK\x03\x04")

// Import begins a program from a file, and leads to its draft. The error is a
// *FileProblems if the file cannot be read.
func (a *App) Import(ctx context.Context, actor newel.Actor, form Form, file []byte) (string, error) {
	var d newel.Document
	var pictures []newel.Picture
	var problems []programfile.Problem
	if bytes.HasPrefix(file, zipMark) {
		d, pictures, problems = programfile.ParseZip(file)
	} else {
		d, problems = programfile.Parse(file)
	}
	if len(problems) > 0 {
		return "", &FileProblems{problems}
	}
	return a.begin(ctx, actor, form, d, pictures, newel.Program{Origin: OriginImport})
}

// Starters lists the programs that one may begin from.
func (a *App) Starters(actor newel.Actor) ([]programfile.Starter, error) {
	if err := actor.Require(newel.DraftProgram); err != nil {
		return nil, err
	}
	list, err := programfile.Starters()
	if err != nil {
		return nil, fmt.Errorf("starters: %w", err)
	}
	return list, nil
}

// BeginFromStarter begins a program from a starter, and leads to its draft:
// it has to be read and signed off like any other.
func (a *App) BeginFromStarter(ctx context.Context, actor newel.Actor, form Form, name string) (string, error) {
	list, err := a.Starters(actor)
	if err != nil {
		return "", err
	}
	i := slices.IndexFunc(list, func(s programfile.Starter) bool { return s.Name == name })
	if i < 0 {
		return "", newel.ErrNotFound
	}
	return a.begin(ctx, actor, form, list[i].Document, nil, newel.Program{Origin: OriginStarter})
}

// CopyProgram begins a program from the latest version of another, or from
// its draft if nothing is published, and leads to the new draft.
func (a *App) CopyProgram(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID) (string, error) {
	var d newel.Document
	err := a.act(ctx, actor, newel.DraftProgram, func(tx *postgres.Tx) error {
		version, err := tx.LatestVersion(ctx, id)
		if errors.Is(err, newel.ErrNotFound) {
			draft, err := tx.Draft(ctx, id)
			d = draft.Document
			return err
		}
		d = version.Document
		return err
	})
	if err != nil {
		return "", err
	}
	return a.begin(ctx, actor, form, d, nil, newel.Program{Origin: OriginCopy, CopiedFrom: &id})
}

func (a *App) begin(ctx context.Context, actor newel.Actor, form Form, d newel.Document, pictures []newel.Picture, p newel.Program) (string, error) {
	var e newel.Invalid
	p.ID, p.Title, p.SkillArea = newel.NewID[newel.ProgramID](), e.Line("file", d.Title, newel.MaxLine, true), d.SkillArea
	if err := e.OrNil(); err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		for _, picture := range pictures {
			if err := tx.AddPicture(ctx, picture); err != nil {
				return "", err
			}
		}
		if err := tx.AddProgram(ctx, p, d); err != nil {
			return "", err
		}
		return draftPath(p.ID), tx.Note(ctx, "authoring.begun", newel.FamilyID{}, p.ID.UUID)
	})
}

// Export gives the latest version of a program, or else its draft, with its
// pictures.
func (a *App) Export(ctx context.Context, actor newel.Actor, id newel.ProgramID) (d newel.Document, pictures []newel.Picture, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		version, err := tx.LatestVersion(ctx, id)
		d = version.Document
		if errors.Is(err, newel.ErrNotFound) {
			draft, missing := tx.Draft(ctx, id)
			d, err = draft.Document, missing
		}
		if err != nil {
			return err
		}
		seen := map[string]bool{}
		for i := range d.Strands {
			for j := range d.Strands[i].Steps {
				for _, ref := range d.Strands[i].Steps[j].Pictures() {
					if seen[ref.SHA256] {
						continue
					}
					seen[ref.SHA256] = true
					p, err := tx.Picture(ctx, ref.SHA256)
					if errors.Is(err, newel.ErrNotFound) {
						continue
					}
					if err != nil {
						return err
					}
					pictures = append(pictures, p)
				}
			}
		}
		return nil
	})
	return d, pictures, err
}

// Archive takes a program off the shelf, or puts it back. Whoever has it is
// taught on.
func (a *App) Archive(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, archived bool) (string, error) {
	return a.once(ctx, actor, newel.PublishProgram, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.ArchiveProgram(ctx, id, archived); err != nil {
			return "", err
		}
		return programPath(id), tx.Note(ctx, "authoring.archived", newel.FamilyID{}, id.UUID)
	})
}
