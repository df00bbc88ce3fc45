package say

import (
	"net/url"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/view"
)

// MissingPage is where what is missing can be put right.
func MissingPage(id newel.LearnerID, key string) string {
	if strings.Contains(key, ".consent_") {
		return href.LearnerConsents.To(id)
	}
	return href.LearnerCare.To(id)
}

// LearnerProgramLine is one program on a learner's page.
func LearnerProgramLine(t *message.Printer, p app.LearnerProgram) view.LearnerProgramLine {
	line := view.LearnerProgramLine{
		Title: p.Program, Href: href.Program.To(p.ProgramID), State: t.Text("taught." + string(p.State)),
		Alerts: p.State == newel.AssignmentResting, Own: ownLines(t, p),
	}
	if n := len(p.Placements); n > 0 {
		line.Copy = &view.Link{Label: t.Text("read.copy"), Href: href.PlacementProgram.To(p.Placements[n-1].ID)}
	}
	for _, strand := range p.Strands {
		run := view.LearnerRun{Role: strand.Role, Stair: stairOf(t, stepRows(program.Strand{Steps: strand.Steps}), strand.At, strand.Climbed)}
		run.At = run.Stair.Name
		if strand.Placement != nil {
			run.Href = href.Placement.To(strand.Placement.ID)
		}
		line.Runs = append(line.Runs, run)
	}
	return line
}

// MissingLine says what is missing and where this person can mend it.
func MissingLine(t *message.Printer, p view.LearnerPage, key string) view.MissingLine {
	line := view.MissingLine{Text: t.Text(key)}
	switch isConsent := strings.Contains(key, ".consent_"); {
	case isConsent && p.MayConsent:
		line.Do, line.Href = t.Text("consent.open"), href.LearnerConsents.To(p.ID)
	case !isConsent && p.MayCare:
		line.Do, line.Href = t.Text("care.change"), href.LearnerCare.To(p.ID)
	}
	return line
}

// ConsentLines are the consents of a learner, those that were withdrawn too.
func ConsentLines(t *message.Printer, consents []newel.Consent) []view.ConsentLine {
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

// CareValues fills the form about a learner's care with what is known.
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
