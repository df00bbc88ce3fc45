package reading

import (
	"encoding/json"
	"fmt"
	"slices"

	"newel/internal/newel"
	"newel/internal/program"
)

// Nobody reports whether no one with these states of training may start a step
// without the clinic. A step that only has to be read first never counts: the
// family can do that by itself.
func Nobody(d *program.Document, step *program.Step, touch bool, states []newel.TrainingState) bool {
	if step == nil || len(states) == 0 {
		return false
	}
	from := d.StartsFrom(step, touch)
	if newel.TrainingRead.Reaches(from) {
		return false
	}
	return !slices.ContainsFunc(states, func(s newel.TrainingState) bool { return s.Reaches(from) })
}

// MarkStarts notes on each row whether no one may start its step, or the next
// one.
func MarkStarts(rows []newel.CaseloadRow, around newel.CaseloadContext) error {
	documents := map[newel.VersionID]*program.Document{}
	for _, v := range around.Starts {
		var d program.Document
		if err := json.Unmarshal(v.Document, &d); err != nil {
			return fmt.Errorf("starts of version %s: %w", v.Version, err)
		}
		documents[v.Version] = &d
	}
	people := map[newel.FamilyID][]newel.TrainedPerson{}
	for _, p := range around.Trained {
		people[p.Family] = append(people[p.Family], p)
	}
	for i := range rows {
		d := documents[rows[i].VersionID]
		if d == nil {
			continue
		}
		var states []newel.TrainingState
		for _, p := range people[rows[i].FamilyID] {
			states = append(states, p.State(rows[i].ProgramID))
		}
		MarkStart(&rows[i], d, states)
	}
	return nil
}

// MarkStart does so for one row. states are those of the family's people in the
// program.
func MarkStart(row *newel.CaseloadRow, d *program.Document, states []newel.TrainingState) {
	_, step := d.Step(row.StepKey)
	row.NobodyHere = Nobody(d, step, row.TouchAllowed, states)
	row.NobodyNext = Nobody(d, d.Following(row.StepKey), row.TouchAllowed, states)
}
