package say

import (
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/view"
)

// ProgramPage returns a program for reading, with its learners if learners is
// set.
func ProgramPage(t *message.Printer, v app.ProgramView, learners bool) view.ProgramPage {
	m := view.ProgramPage{T: t, Title: v.Program.Title, Crumb: v.Program.SkillArea, ID: v.Program.ID}
	if v.Version == nil {
		return m
	}
	m.Document, m.Number = &v.Version.Document, v.Version.Number
	m.Published = t.Text("read.published_on", "day", DayOf(v.Version.PublishedAt))
	for _, version := range v.Versions {
		if version.ID == v.Version.ID && version.PublishedBy != "" {
			m.Published = t.Text("read.published", "day", DayOf(v.Version.PublishedAt), "who", version.PublishedBy)
		}
	}
	if len(v.Versions) > 0 && v.Versions[0].Number > m.Number {
		m.Latest = v.Versions[0].Number
	}
	if learners {
		for _, l := range v.Learners {
			m.Learners = append(m.Learners, programLearner(t, l))
		}
	}
	return m
}

func programLearner(t *message.Printer, l newel.ProgramLearner) view.ProgramLearner {
	out := view.ProgramLearner{
		Name: l.Learner, Href: href.Placement.To(l.PlacementID), At: strings.TrimSpace(l.Role + " " + l.StepLabel), StepKey: l.StepKey,
	}
	steps, met := make([]program.StepRow, len(l.Steps)), map[string]bool{}
	for i, s := range l.Steps {
		steps[i] = program.StepRow{Key: s.Key, Label: s.Label, Name: s.Name, Helped: s.Helped}
	}
	for _, key := range l.Met {
		met[key] = true
	}
	out.Stair = stairOf(t, steps, l.StepKey, met)
	return out
}
