package program

import (
	"encoding/json"

	"newel/internal/newel"
)

// CaseloadDetail is what a row shows once it is shown at all.
type CaseloadDetail struct {
	PlacementID   newel.PlacementID
	Criterion     string
	HelpLevels    []string          // of the version, from least to most help
	Body          json.RawMessage   // criterion.Reading
	Latest        []json.RawMessage // criterion.Session, the newest, oldest first
	People        map[string]string // names of the family's people by id
	Prerequisites []Prerequisite
	Needs         []string                     // skills, by name
	Skills        map[string]newel.SkillStatus // what was noted last about the learner's, by every folded name
	Reinforcing   string                       // what the program says makes it worth it
	Planned       string                       // planned help
	Targets       []Target                     // of the step, where each is mastered on its own
	Fidelity      *newel.LatestFidelity        // of the assignment; nil: nobody has looked on
}
