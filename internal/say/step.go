package say

import (
	"slices"
	"strings"

	"newel/internal/chart"
	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/view"
)

// stayOf returns a row's placement with texts and drawings.
func stayOf(t *message.Printer, text string, levels []string, said criterion.Reading, sessions []newel.SessionRow) view.Stay {
	recorded := make([]view.Recorded, len(sessions))
	for i, s := range sessions {
		recorded[i] = view.Recorded{
			Of: s.Of.Session, By: s.ByName, Place: placeText(t, s.Of.Place), Day: s.LocalDate, Later: s.Afterwards,
			Corrected: s.Amendments, Unfit: unfitOf(s), IntervalKind: s.Of.IntervalKind, Href: href.Recording.To(s.ID),
		}
	}
	return view.NewStay(t, text, levels, said, recorded)
}

// placeText says where a session was: the label of a code, and any other text
// as it was recorded.
func placeText(t *message.Printer, recorded string) string {
	if place := newel.PlaceOf(recorded); slices.Contains(newel.Places, place) {
		return t.Text("place." + place)
	}
	return recorded
}

func stepText(role, label, name string) string {
	return strings.TrimSpace(role+" "+label) + ", " + name
}

// withTargets appends the status of targets with their own criteria to a
// sentence.
func withTargets(stay view.Stay, sentence string) string {
	line := stay.TargetsLine()
	if line == "" || stay.Said.Status == criterion.StatusMet {
		return sentence
	}
	return sentence + " " + line
}

func stepRows(strand program.Strand) []program.StepRow {
	rows := make([]program.StepRow, len(strand.Steps))
	for i, s := range strand.Steps {
		rows[i] = program.StepRow{Key: s.Key, Label: s.Label, Name: s.Name, Helped: s.PlannedHelp != ""}
	}
	return rows
}

// stairOf draws one strand. If climbed is nil, the steps before the current one
// count as mastered.
func stairOf(t *message.Printer, steps []program.StepRow, at string, met map[string]bool) view.Stair {
	var s view.Stair
	here := -1
	for i, step := range steps {
		if step.Key == at {
			here = i
		}
	}
	done := 0
	for i, step := range steps {
		state := chart.Ahead
		switch {
		case i == here:
			state = chart.Current
		case met[step.Key] || met == nil && i < here:
			state = chart.Met
			done++
		}
		s.Breakdown.First = append(s.Breakdown.First, chart.Step{State: state, Help: step.Helped, Label: step.Label})
	}
	switch {
	case here >= 0:
		s.Name = t.Text("stair.name", "n", here+1, "of", len(steps), "step", steps[here].Label)
	case done == len(steps) && done > 0:
		s.Name = t.Text("stair.done", "of", len(steps))
	default:
		s.Name = t.Text("stair.begun_not", "of", len(steps))
	}
	return s
}
