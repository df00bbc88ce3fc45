package newel

import "time"

// ProgramSummary is one line of the library.
type ProgramSummary struct {
	ID             ProgramID
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
	ID          VersionID
	Number      int
	PublishedBy string // name
	PublishedAt time.Time
}

// ProgramLearner is a learner in the actor's reach who has a program now, with
// one step that is open.
type ProgramLearner struct {
	LearnerID    LearnerID
	Learner      string
	AssignmentID AssignmentID
	PlacementID  PlacementID
	VersionID    VersionID
	StepKey      string
	StrandKey    string
	StepLabel    string
	Role         string
	Number       int           // of the version
	Steps        []LearnerStep // of the strand, in the version that this learner is taught by
	Climbed      []string      // keys of the steps that were left by an advance
}

// LearnerStep is a step of the strand that a learner stands in.
type LearnerStep struct {
	Key    string `json:"key"`
	Label  string `json:"label"`
	Name   string `json:"name"`
	Helped bool   `json:"helped"`
}

// StepRow is a step of a version as lists need it.
type StepRow struct {
	VersionID VersionID
	Key       string
	Strand    string
	Role      string
	Place     int // over all strands, from 0
	Label     string
	Name      string
	Helped    bool
}

// StepRows lists the steps of a document as rows of the version.
func (d *Document) StepRows(version VersionID) []StepRow {
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
