package say

import (
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/timezone"
	"newel/internal/view"
)

// trainingLines returns who teaches what, for the page of a family or learner.
func trainingLines(t *message.Printer, list []app.ProgramTraining) []view.TrainingLine {
	var lines []view.TrainingLine
	for _, p := range list {
		line := view.TrainingLine{Title: p.Title, Href: href.FamilyTraining.To(p.Family.ID, p.Program)}
		for _, who := range p.People {
			trained := view.TrainedLine{Name: who.Name, State: stateOf(t, who.State), Changed: changedText(t, who)}
			for _, s := range p.Starts {
				trained.Wanting = trained.Wanting || !who.State.Reaches(s.From)
			}
			line.People = append(line.People, trained)
		}
		lines = append(lines, line)
	}
	return lines
}

func stateOf(t *message.Printer, s newel.TrainingState) string {
	if s == newel.TrainingNone {
		return t.Text("training.state_none")
	}
	return t.Text("training.state_" + string(s))
}

func changedText(t *message.Printer, who app.PersonTraining) string {
	if !who.Changed {
		return ""
	}
	return t.Text("training.changed")
}

// startLine returns how a person without training starts a step.
func startLine(t *message.Printer, p app.ProgramTraining, start app.StepStart) view.StartLine {
	line := view.StartLine{
		Learner: view.Link{Label: start.Learner.Nickname, Href: href.Learner.To(start.Learner.ID)},
		Step:    view.Link{Label: start.Step + ", " + start.Name, Href: href.Placement.To(start.Placement)},
		Who:     t.Text("training.starts", "who", t.Text("training.from."+string(start.From))),
	}
	var names []string
	for _, who := range p.Wanting(start) {
		names = append(names, who.Name)
	}
	if len(names) > 0 {
		line.Wanting = t.Text("training.wanting", "people", t.List(names))
	}
	return line
}

// trainedPerson returns a person's training, with the form that changes it.
func trainedPerson(t *message.Printer, who app.PersonTraining, zone string) view.TrainedPerson {
	line := view.TrainedPerson{ID: who.ID.String(), Name: who.Name, State: stateOf(t, who.State), Changed: changedText(t, who)}
	if len(who.Entries) == 0 {
		if who.Account == nil {
			line.By = t.Text("training.no_phone")
		}
		return line
	}
	line.State, line.By, line.Note = entryState(t, who.Entries[0]), entryBy(t, who.Entries[0], zone), who.Entries[0].Note
	for _, e := range who.Entries[1:] {
		line.Before = append(line.Before, view.TrainedBefore{State: entryState(t, e), By: entryBy(t, e, zone), Note: e.Note})
	}
	return line
}

// entryState is stateOf for entries; for an entry without a state it returns
// what the entry did.
func entryState(t *message.Printer, e newel.Training) string {
	if e.State == newel.TrainingNone {
		return t.Text("training.state_taken")
	}
	return stateOf(t, e.State)
}

func entryBy(t *message.Printer, e newel.Training, zone string) string {
	day := newel.DayOf(e.SetAt, timezone.OrUTC(zone))
	if e.SetBy == nil {
		return t.Text("training.by_before", "day", day)
	}
	return t.Text("training.by", "who", e.SetByName, "day", day)
}

// untrainedText names what people without the required training have recorded,
// and links to where that is fixed.
func untrainedText(t *message.Printer, p reading.Progress) (string, view.Link) {
	to := view.Link{Label: t.Text("training.part"), Href: href.FamilyTraining.To(p.Family.ID, p.Assignment.ProgramID)}
	var list []string
	for _, s := range p.Untrained {
		list = append(list, t.Text("training.untrained_one", "who", s.ByName, "day", t.DayShort(s.LocalDate)))
	}
	if len(list) == 0 {
		return "", to
	}
	return t.Text("training.untrained", "n", len(list), "people", t.List(list), "from", t.Text("training.from."+string(p.StartsFrom))), to
}

// startHint adds who may start a program's first steps to its hint on the
// assign page.
func startHint(t *message.Printer, hint string, s app.FirstStart) string {
	if s.From == newel.TrainingNone { // anyone may start
		return hint
	}
	if hint != "" {
		hint = strings.TrimSuffix(hint, ".") + ". "
	}
	hint += t.Text("training.starts", "who", t.Text("training.from."+string(s.From)))
	if len(s.There) > 0 {
		return hint + " " + t.Text("training.there", "people", t.List(s.There))
	}
	return hint + " " + t.Text("training.nobody_there")
}

// TrainingPage returns the training of a family's people in a program.
func TrainingPage(t *message.Printer, p app.ProgramTraining) view.TrainingPage {
	m := view.TrainingPage{T: t, Title: p.Title, Family: view.Link{Label: p.Family.Name, Href: href.Family.To(p.Family.ID)}}
	for _, start := range p.Starts {
		m.Starts = append(m.Starts, startLine(t, p, start))
	}
	for _, who := range p.People {
		line := trainedPerson(t, who, p.Family.TimeZone)
		m.People = append(m.People, line)
	}
	return m
}
