package say

import (
	"strings"
	"time"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/timezone"
	"newel/internal/view"
)

// learnerHref returns the address of a learner, or "" if the actor may not see
// one.
func learnerHref(actor newel.Actor, id newel.LearnerID) string {
	if !actor.Can(newel.SeeLearner) {
		return ""
	}
	return href.Learner.To(id)
}

// learnerLines returns the learners of a family, with what the actor may do.
func learnerLines(t *message.Printer, actor newel.Actor, learners []newel.Learner) []view.LearnerLine {
	var lines []view.LearnerLine
	for _, l := range learners {
		line := view.LearnerLine{Name: l.Nickname, Href: learnerHref(actor, l.ID), Born: bornWords(t, l)}
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

// bornWords returns a learner's birth month.
func bornWords(t *message.Printer, l newel.Learner) string {
	if l.BirthMonth.IsZero() {
		return t.Text("learner.born_unknown")
	}
	born := l.BirthMonth.Time()
	return t.Text("learner.born_in", "month", t.Text("date.month_"+born.Format("1")), "year", born.Format("2006"))
}

// personLine returns a family member with the ways in which they can sign in.
func personLine(t *message.Printer, p app.FamilyPerson, zone *time.Location) view.PersonLine {
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
			Label: d.Label, Revoke: href.DeviceRevoke.To(d.ID),
			Seen: t.Text("families.device", "since", t.Day(newel.DayOf(d.CreatedAt, zone)), "seen", t.Day(d.SeenOn)),
		})
	}
	return line
}

// FamilyPage returns a family: its learners and people, and its staff.
func FamilyPage(t *message.Printer, actor newel.Actor, f app.FamilyPage, form view.FormState) view.FamilyPage {
	p := view.FamilyPage{
		Form: form, ID: f.ID, Name: f.Name, Facts: t.Text("families.facts", "zone", strings.ReplaceAll(f.TimeZone, "_", " "), "language", t.LanguageName(f.Language)),
		MayManage: actor.Can(newel.ManageFamilies), MayInvite: actor.Can(newel.InviteCaregiver),
		Learners: learnerLines(t, actor, f.Learners),
	}
	if actor.Can(newel.SeeLearner) {
		p.Messages = &view.Link{Label: t.Text("messages.open"), Href: href.FamilyMessages.To(f.ID)}
		p.Training = &view.TrainingPart{T: t, Lines: trainingLines(t, f.Training)}
	}
	for _, person := range f.People {
		p.People = append(p.People, personLine(t, person, timezone.OrUTC(f.TimeZone)))
	}
	for _, c := range f.LookingAfter {
		p.LookingAfter = append(p.LookingAfter, view.CarerLine{Name: c.Name, Capacities: carerWords(t, c), Account: c.ID.String()})
	}
	for _, c := range f.MayLookAfter {
		p.Candidates = append(p.Candidates, view.Option{Value: c.ID.String(), Label: c.Name + ", " + CapacityWords(t, c)})
	}
	return p
}

// FamiliesPage lists families with their learners.
func FamiliesPage(t *message.Printer, actor newel.Actor, lines []app.FamilyLine) view.FamiliesPage {
	p := view.FamiliesPage{T: t, MayAdd: actor.Can(newel.ManageFamilies)}
	for _, f := range lines {
		line := view.FamilyLine{Name: f.Name, Href: href.Family.To(f.ID), TimeZone: f.TimeZone}
		for _, l := range f.Learners {
			line.Learners = append(line.Learners, view.Link{Label: l.Nickname, Href: learnerHref(actor, l.ID)})
		}
		p.Families = append(p.Families, line)
	}
	return p
}
