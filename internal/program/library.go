package program

import (
	"time"

	"newel/internal/newel"
)

// Summary is one row of the library.
type Summary struct {
	ID             newel.ProgramID
	Title          string
	SkillArea      string
	Number         int // of the latest version; 0 if none is published
	PublishedAt    *time.Time
	DraftRev       int // 0 if there is no draft
	DraftUpdatedAt *time.Time
	Learners       int // learners within the actor's reach who are being taught it
	Origin         string
	ArchivedAt     *time.Time
	HandedInAt     *time.Time // nil unless the draft waits for sign-off
}

// VersionSummary is one published version without its document.
type VersionSummary struct {
	ID          newel.VersionID
	Number      int
	PublishedBy string // name
	PublishedAt time.Time
}

// StepRow is a step of a version as needed for lists.
type StepRow struct {
	VersionID newel.VersionID
	Key       string
	Strand    string
	Role      string
	Place     int // position across all strands, from 0
	Label     string
	Name      string
	Helped    bool
}

// StepRows returns the document's steps as rows of the version.
func (d *Document) StepRows(version newel.VersionID) []StepRow {
	var rows []StepRow
	for _, s := range d.Strands {
		for _, step := range s.Steps {
			rows = append(rows, StepRow{
				VersionID: version, Key: step.Key, Strand: s.Key, Role: s.Role.Name, Place: len(rows),
				Label: step.Label, Name: step.Name, Helped: step.PlannedHelp != "",
			})
		}
	}
	return rows
}
