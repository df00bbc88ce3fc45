package say

import (
	"net/url"
	"strconv"
	"strings"
	"time"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/timezone"
	"newel/internal/view"
)

// missingPage returns the page on which something missing can be added.
func missingPage(id newel.LearnerID, key string) string {
	if strings.Contains(key, ".consent_") {
		return href.LearnerConsents.To(id)
	}
	return href.LearnerCare.To(id)
}

// learnerProgramLine returns one program on a learner's page.
func learnerProgramLine(t *message.Printer, zone *time.Location, p app.LearnerProgram, mayDecide bool) view.LearnerProgramLine {
	line := view.LearnerProgramLine{
		Title: p.Program, Href: href.Program.To(p.ProgramID), State: t.Text("taught." + string(p.State)),
		Alerts: p.State == newel.AssignmentResting, Own: ownLines(t, p), Lifted: liftedLine(t, zone, p.Decisions),
	}
	if n := len(p.Placements); n > 0 {
		line.Copy = &view.Link{Label: t.Text("read.copy"), Href: href.PlacementProgram.To(p.Placements[n-1].ID)}
	}
	for _, strand := range p.Strands {
		run := view.LearnerRun{Role: strand.Role, Stair: stairOf(t, stepRows(program.Strand{Steps: strand.Steps}), strand.At, strand.Met)}
		run.At = run.Stair.Name
		if strand.Placement != nil {
			if line.Alerts && mayDecide {
				line.Lift = &view.Link{Label: t.Text("decide.lift"), Href: href.Lift(strand.Placement.ID)}
			}
			run.Href = href.Placement.To(strand.Placement.ID)
		}
		line.Runs = append(line.Runs, run)
	}
	return line
}

// missingLine says what is missing and where this person can add it.
func missingLine(t *message.Printer, p view.LearnerPage, key string) view.MissingLine {
	line := view.MissingLine{Text: t.Text(key)}
	switch isConsent := strings.Contains(key, ".consent_"); {
	case isConsent && p.MayConsent:
		line.Do, line.Href = t.Text("consent.open"), href.LearnerConsents.To(p.ID)
	case !isConsent && p.MayCare:
		line.Do, line.Href = t.Text("care.change"), href.LearnerCare.To(p.ID)
	}
	return line
}

// consentLines returns a learner's consents, including withdrawn ones.
func consentLines(t *message.Printer, consents []newel.Consent) []view.ConsentLine {
	lines := make([]view.ConsentLine, len(consents))
	for i, c := range consents {
		lines[i] = view.ConsentLine{
			ID: c.ID.String(), Kind: t.Text("consent." + string(c.Kind)),
			Given: t.Text("consent.given_line", "day", t.Day(c.GivenOn), "by", c.GivenBy),
		}
		if !c.WithdrawnOn.IsZero() {
			lines[i].Withdrawn = t.Text("consent.withdrawn_line", "day", t.Day(c.WithdrawnOn))
		}
	}
	return lines
}

// CareValues fills the care form with the stored values.
func CareValues(l newel.Learner) url.Values {
	c := l.Care
	v := url.Values{
		"rev": {strconv.Itoa(l.CareRev)}, "allergy": {c.Alerts.Allergy}, "choking": {c.Alerts.Choking}, "seizure": {c.Alerts.Seizure},
		"mouthing": {c.Alerts.Mouthing}, "stop_signs": {c.StopSigns}, "help_notes": {c.HelpNotes},
	}
	if c.Alerts.Asked {
		v.Set("asked", "yes")
	}
	if c.TouchAllowed {
		v.Set("touch_allowed", "yes")
	}
	return v
}

// AssignPage returns the form for assigning a program; in is what was chosen.
func AssignPage(t *message.Printer, v app.AssignView, in app.AssignInput, problems map[string]string) view.AssignPage {
	m := view.AssignPage{T: t, Learner: v.Learner.Nickname, ID: v.Learner.ID, Token: NewToken(), ShowTick: !v.Learner.Care.TouchAllowed}
	for _, key := range v.Missing {
		m.Missing = append(m.Missing, view.Link{Label: t.Text(key), Href: missingPage(v.Learner.ID, key)})
	}
	m.Programs = view.Field{T: t, Name: "program", Label: t.Text("assign.program"), Value: in.Program, Error: problems["program"], Required: true}
	for _, p := range v.Programs {
		if !v.Has[p.ID] {
			m.Programs.Options = append(m.Programs.Options, view.Option{Value: p.ID.String(), Label: p.Title, Hint: startHint(t, lackingHint(t, &m, v.Skills, p), v.Starts[p.ID])})
		}
	}
	m.Touch = view.Field{
		T: t, Name: "without_touch", Label: t.Text("assign.without_touch"), Checked: in.WithoutTouch, Error: problems["without_touch"],
		Hint: t.Text("assign.without_touch.hint"),
	}
	m.AllTheSame = view.Field{
		T: t, Name: "all_the_same", Label: t.Text("assign.all_the_same"), Hint: t.Text("assign.all_the_same.hint"), Checked: in.AllTheSame, Error: problems["all_the_same"],
	}
	return m
}

// LearnerPage returns what everyone who teaches a learner must know.
func LearnerPage(t *message.Printer, actor newel.Actor, l app.LearnerPage, skills app.LearnerSkills) view.LearnerPage {
	p := view.LearnerPage{
		ToNote: len(skills.Proposed),
		T:      t, Name: l.Nickname, Born: bornWords(t, l.Learner), ID: l.ID,
		Family: view.Link{Label: l.Family.Name, Href: href.Family.To(l.FamilyID)},
		Care:   view.CareWords(t, l.Care), Consents: consentLines(t, l.Consents),
		MayCare: actor.Can(newel.DescribeCare), MayConsent: actor.Can(newel.RecordConsent),
	}
	for _, key := range l.Missing {
		p.Missing = append(p.Missing, missingLine(t, p, key))
	}
	return p
}

// LearnerProgramsPart returns the programs part of a learner's page.
func LearnerProgramsPart(t *message.Printer, actor newel.Actor, l app.LearnerPage, programs []app.LearnerProgram) view.LearnerProgramsPart {
	m := view.LearnerProgramsPart{T: t}
	if actor.Can(newel.AssignProgram) {
		m.Assign = href.LearnerAssign.To(l.ID)
	}
	for _, p := range programs {
		line := learnerProgramLine(t, timezone.OrUTC(l.Family.TimeZone), p, actor.Can(newel.Decide))
		for i, taught := range l.Training {
			if taught.Program == p.ProgramID && p.State != newel.AssignmentFinished {
				line.Who, line.By = t.Text("training.part"), &trainingLines(t, l.Training)[i]
			}
		}
		m.Programs = append(m.Programs, line)
	}
	return m
}

// ConsentPage returns a learner's consents and the form for a new one.
func ConsentPage(t *message.Printer, c app.ConsentPage, form view.FormState) view.ConsentPage {
	return view.ConsentPage{
		Form: form, Name: c.Learner.Nickname, Consents: consentLines(t, c.Consents),
		Back: view.Link{Label: c.Family.Name, Href: href.Family.To(c.Family.ID)},
	}
}
