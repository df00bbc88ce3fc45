package say

import (
	"strings"

	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
)

// carerWords returns the role of a person who looks after a family, or that
// their account is off.
func carerWords(t *message.Printer, a newel.Account) string {
	if !a.Active {
		return t.Text("people.state_off")
	}
	return CapacityWords(t, a)
}

// CapacityWords lists the roles of an account.
func CapacityWords(t *message.Printer, a newel.Account) string {
	words := make([]string, len(a.Capacities))
	for i, c := range a.Capacities {
		words[i] = t.Text("capacity." + string(c))
	}
	return strings.Join(words, ", ")
}

// StaffState says whether and how a member of staff can sign in.
func StaffState(t *message.Printer, m newel.Staff) string {
	switch {
	case !m.Active:
		return t.Text("people.state_off")
	case m.HasPassword && m.LinkID != nil:
		return t.Text("people.state_relink")
	case m.HasPassword:
		return t.Text("people.state_on")
	case m.LinkID != nil:
		return t.Text("people.state_link")
	}
	return t.Text("people.state_none")
}

// StaffPage returns the clinic's staff.
func StaffPage(t *message.Printer, clinic newel.Clinic, staff []newel.Staff) view.StaffPage {
	p := view.StaffPage{T: t, Clinic: clinic.Name, TimeZone: clinic.TimeZone}
	for _, m := range staff {
		p.People = append(p.People, view.StaffLine{
			Name: m.Name, Href: href.StaffMember.To(m.ID), SignInName: m.SignInName,
			Capacities: CapacityWords(t, m.Account), State: StaffState(t, m), Off: !m.Active,
		})
	}
	return p
}
