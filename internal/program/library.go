package program

import (
	"time"

	"newel/internal/newel"
)

// Summary is one line of the library.
type Summary struct {
	ID             newel.ProgramID
	Title          string
	SkillArea      string
	Number         int // of the latest version; 0 if none is published
	PublishedAt    *time.Time
	DraftRev       int // 0 if there is no draft
	DraftUpdatedAt *time.Time
	Learners       int // learners in the actor's reach who have it now
	Origin         string
	ArchivedAt     *time.Time
	HandedInAt     *time.Time // the draft waits for sign-off
}

// VersionSummary is one published version without its document.
type VersionSummary struct {
	ID          newel.VersionID
	Number      int
	PublishedBy string // name
	PublishedAt time.Time
}

// StepRow is a step of a version as lists need it.
type StepRow struct {
	VersionID newel.VersionID
	Key       string
	Strand    string
	Role      string
	Place     int // over all strands, from 0
	Label     string
	Name      string
	Helped    bool
}

// StepRows lists the steps of a document as rows of the version.
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
