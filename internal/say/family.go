package say

import (
	"time"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
)

// LearnerHref leads to a learner, for whoever may see one.
func LearnerHref(actor newel.Actor, id newel.LearnerID) string {
	if !actor.Can(newel.SeeLearner) {
		return ""
	}
	return href.Learner.To(id)
}

// LearnerLines are the learners of a family, with what the actor may do.
func LearnerLines(t *message.Printer, actor newel.Actor, learners []newel.Learner) []view.LearnerLine {
	var lines []view.LearnerLine
	for _, l := range learners {
		line := view.LearnerLine{Name: l.Nickname, Href: LearnerHref(actor, l.ID), Born: BornWords(t, l)}
		if actor.Can(newel.ManageFamilies) {
			line.Edit = href.LearnerEdit.To(l.ID)
		}
		if actor.Can(newel.RecordConsent) {
			line.Consents = href.LearnerConsents.To(l.ID)
		}
		lines = append(lines, line)
	}
	return lines
}

// BornWords says when a learner was born, by the month.
func BornWords(t *message.Printer, l newel.Learner) string {
	if l.BirthMonth.IsZero() {
		return t.Text("learner.born_unknown")
	}
	born := l.BirthMonth.Time()
	return t.Text("learner.born_in", "month", t.Text("date.month_"+born.Format("1")), "year", born.Format("2006"))
}

// PersonLine is somebody of a family, with the ways in that they have.
func PersonLine(t *message.Printer, p app.FamilyPerson, zone *time.Location) view.PersonLine {
	line := view.PersonLine{Name: p.Name, ID: p.ID}
	switch {
	case p.Invitation != nil:
		line.Way = t.Text("families.way_invited", "until", t.Day(newel.DayOf(p.Invitation.ExpiresAt, zone)))
		line.Revoke = href.InvitationRevoke.To(p.Invitation.ID)
	case len(p.Devices) > 0:
		line.Way = t.Text("families.way_devices", "n", len(p.Devices))
	case p.Account != nil:
		line.Way = t.Text("families.way_cut")
	default:
		line.Way = t.Text("families.way_none")
	}
	for _, d := range p.Devices {
		line.Devices = append(line.Devices, view.DeviceLine{
			Label: d.Label, Cut: href.DeviceCut.To(d.ID),
			Seen: t.Text("families.device", "since", t.Day(newel.DayOf(d.CreatedAt, zone)), "seen", t.Day(d.SeenOn)),
		})
	}
	return line
}
