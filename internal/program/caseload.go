package program

import (
	"encoding/json"

	"newel/internal/newel"
)

// CaseloadDetail is what a caseload row needs only when it is displayed.
type CaseloadDetail struct {
	PlacementID   newel.PlacementID
	Criterion     string
	HelpLevels    []string           // of the version, from least to most help
	Body          json.RawMessage    // criterion.Reading
	Latest        newel.KeptSessions // the latest ones, oldest first
	People        map[string]string  // names of the family's people by id
	Prerequisites []Prerequisite
	Needs         []string                     // skills, by name
	Skills        map[string]newel.SkillStatus // latest records of the learner's skills, by every folded name
	Reinforcing   string                       // the program's reinforcement
	Planned       string                       // planned prompt
	Targets       []Target                     // of the step, if each is mastered individually
	Fidelity      *newel.LatestFidelity        // of the assignment; nil if it has not been observed
	Said          []newel.Said                 // by the family about the no that paused the program, oldest first; nil if it is not paused after one
}
