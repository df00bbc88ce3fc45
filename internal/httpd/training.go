package httpd

import (
	"net/http"
	"net/url"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
)

// trainingLines tell on the page of a family or a learner who teaches what.
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
	if s == newel.NotTrained {
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

func (s *Server) trainingPage(w http.ResponseWriter, r *http.Request) error {
	return s.showTraining(w, r, http.StatusOK, nil, nil)
}

func (s *Server) postTraining(w http.ResponseWriter, r *http.Request) error {
	family, program, err := familyAndProgram(r)
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	var to string
	if err == nil {
		in := app.TrainingInput{Person: values.Get("person"), State: values.Get("state"), Note: values.Get("note")}
		to, err = s.app.SetTraining(r.Context(), mustActor(r), form, family, program, in)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showTraining(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func familyAndProgram(r *http.Request) (newel.FamilyID, newel.ProgramID, error) {
	family, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return family, newel.ProgramID{}, err
	}
	program, err := pathID[newel.ProgramID](r, "program")
	return family, program, err
}

// showTraining shows the page; what was typed and is wrong stands with the
// person it is about.
func (s *Server) showTraining(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	family, program, err := familyAndProgram(r)
	if err != nil {
		return err
	}
	actor, t := mustActor(r), s.printer(r)
	p, err := s.app.Training(r.Context(), actor, family, program)
	if err != nil {
		return err
	}
	m := view.TrainingPage{T: t, Title: p.Title, Family: view.Link{Label: p.Family.Name, Href: href.Family.To(family)}}
	for _, start := range p.Starts {
		m.Starts = append(m.Starts, startLine(t, p, start))
	}
	for _, who := range p.People {
		line := trainedPerson(t, who, p.Family.TimeZone)
		if actor.Can(newel.TrainCaregiver) {
			form := s.formState(r, href.FamilyTraining.To(family, program), nil, nil)
			if values.Get("person") == who.ID.String() {
				form.Values, form.Errors = values, problems
			}
			line.Form = &form
		}
		m.People = append(m.People, line)
	}
	title := t.Text("training.title", "program", p.Title)
	return s.page(w, r, status, page{Title: title, Section: "families"}, view.TrainingIn(m))
}

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

// entryState is stateOf, and says of an entry without a state what it did.
func entryState(t *message.Printer, e newel.Training) string {
	if e.State == newel.NotTrained {
		return t.Text("training.state_taken")
	}
	return stateOf(t, e.State)
}

func entryBy(t *message.Printer, e newel.Training, zone string) string {
	day := newel.DayOf(e.SetAt, zoneOf(zone))
	if e.SetBy == nil {
		return t.Text("training.by_before", "day", day)
	}
	return t.Text("training.by", "who", e.SetByName, "day", day)
}

// untrainedText names what was recorded by somebody who was not as far as the
// step asks for, and where that is put right.
func untrainedText(t *message.Printer, p app.Progress) (string, view.Link) {
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

// startHint adds to what the assigning page says of a program who may start
// its first steps.
func startHint(t *message.Printer, hint string, s app.FirstStart) string {
	if s.From == newel.NotTrained { // nothing is open from the start
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
