package app

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/programfile"
)

// Sources of a program in the library.
const (
	OriginCopy    = "copy"
	OriginImport  = "import"
	OriginStarter = "starter"
)

// FileProblems lists the problems of a file, line by line.
type FileProblems struct{ Problems []programfile.Problem }

// Error returns the number of problems.
func (e *FileProblems) Error() string { return fmt.Sprintf("%d problems in the file", len(e.Problems)) }

// Unwrap returns an *newel.Invalid for the file.
func (e *FileProblems) Unwrap() error {
	return &newel.Invalid{Problems: []newel.Problem{{Field: "file", Key: "library.unreadable", Args: map[string]any{"n": len(e.Problems)}}}}
}

// zipMark begins every zip file.
var zipMark = []byte("PK\x03\x04")

// ProgramFile is a program as it was read from a file.
type ProgramFile struct {
	Document program.Document
	Pictures []newel.Picture
}

// ReadProgram reads a file: a single YAML file, or a zip with pictures. The
// error is a *FileProblems, or an *newel.Invalid for the field "file".
func ReadProgram(file []byte) (p ProgramFile, err error) {
	var problems []programfile.Problem
	if bytes.HasPrefix(file, zipMark) {
		p.Document, p.Pictures, problems = programfile.ParseZip(file)
	} else {
		p.Document, problems = programfile.Parse(file)
	}
	if len(problems) > 0 {
		return p, &FileProblems{problems}
	}
	var e newel.Invalid
	e.Line("file", p.Document.Title, newel.MaxLine, true)
	return p, e.OrNil()
}

// Import starts a program from a file and returns its draft's location. If the
// file is invalid, the error is that of ReadProgram.
func (a *App) Import(ctx context.Context, actor newel.Actor, form Form, file []byte) (string, error) {
	p, err := ReadProgram(file)
	if err != nil {
		return "", err
	}
	return a.begin(ctx, actor, form, p, program.Program{Origin: OriginImport})
}

// Starters lists the programs that a new program can start from.
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

// BeginFromStarter starts a program from a starter and returns its draft's
// location: it must be reviewed and signed off like any other.
func (a *App) BeginFromStarter(ctx context.Context, actor newel.Actor, form Form, name string) (string, error) {
	list, err := a.Starters(actor)
	if err != nil {
		return "", err
	}
	i := slices.IndexFunc(list, func(s programfile.Starter) bool { return s.Name == name })
	if i < 0 {
		return "", newel.ErrNotFound
	}
	return a.begin(ctx, actor, form, ProgramFile{Document: list[i].Document}, program.Program{Origin: OriginStarter})
}

// CopyProgram starts a program from another one's latest version, or from its
// draft if nothing is published, and returns the new draft's location.
func (a *App) CopyProgram(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID) (string, error) {
	var d program.Document
	err := a.act(ctx, actor, newel.DraftProgram, func(tx *postgres.Tx) error {
		var err error
		d, err = documentAt(ctx, tx, id, "")
		return err
	})
	if err != nil {
		return "", err
	}
	return a.begin(ctx, actor, form, ProgramFile{Document: d}, program.Program{Origin: OriginCopy, CopiedFrom: &id})
}

func (a *App) begin(ctx context.Context, actor newel.Actor, form Form, f ProgramFile, p program.Program) (string, error) {
	return a.once(ctx, actor, newel.DraftProgram, form, func(tx *postgres.Tx) (string, error) {
		id, err := beginFrom(ctx, tx, f, p)
		if err != nil {
			return "", err
		}
		return href.Draft.To(id), tx.Note(ctx, "authoring.begun", newel.FamilyID{}, id.UUID)
	})
}

// beginFrom adds a program with the file's content as its draft.
func beginFrom(ctx context.Context, tx *postgres.Tx, f ProgramFile, p program.Program) (newel.ProgramID, error) {
	p.ID, p.Title, p.SkillArea = newel.NewID[newel.ProgramID](), f.Document.Title, f.Document.SkillArea
	for _, picture := range f.Pictures {
		if err := tx.AddPicture(ctx, picture); err != nil {
			return p.ID, err
		}
	}
	return p.ID, tx.AddProgram(ctx, p, f.Document)
}

// Export returns the latest version of a program, or else its draft, with its
// pictures.
func (a *App) Export(ctx context.Context, actor newel.Actor, id newel.ProgramID) (f ProgramFile, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		f, err = exported(ctx, tx, id, "")
		return err
	})
	return f, err
}

func exported(ctx context.Context, tx *postgres.Tx, id newel.ProgramID, state string) (f ProgramFile, err error) {
	if f.Document, err = documentAt(ctx, tx, id, state); err != nil {
		return f, err
	}
	seen := map[string]bool{}
	for i := range f.Document.Strands {
		for j := range f.Document.Strands[i].Steps {
			for _, ref := range f.Document.Strands[i].Steps[j].Pictures() {
				if seen[ref.SHA256] {
					continue
				}
				seen[ref.SHA256] = true
				p, err := tx.Picture(ctx, ref.SHA256)
				if errors.Is(err, newel.ErrNotFound) { // imported without it
					continue
				}
				if err != nil {
					return f, err
				}
				f.Pictures = append(f.Pictures, p)
			}
		}
	}
	return f, nil
}

// documentAt returns a state of a program by its name; an empty name is the
// latest version, or the draft if there is none.
func documentAt(ctx context.Context, tx *postgres.Tx, id newel.ProgramID, state string) (program.Document, error) {
	if state != "" {
		return stateOf(ctx, tx, id, state)
	}
	version, err := tx.LatestVersion(ctx, id)
	if errors.Is(err, newel.ErrNotFound) {
		return stateOf(ctx, tx, id, DraftName)
	}
	return version.Document, err
}

// Archive archives a program or restores it. Learners who have it continue with
// it.
func (a *App) Archive(ctx context.Context, actor newel.Actor, form Form, id newel.ProgramID, archived bool) (string, error) {
	return a.once(ctx, actor, newel.PublishProgram, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.ArchiveProgram(ctx, id, archived); err != nil {
			return "", err
		}
		return href.Program.To(id), tx.Note(ctx, "authoring.archived", newel.FamilyID{}, id.UUID)
	})
}
