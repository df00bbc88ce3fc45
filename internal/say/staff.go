package say

import (
	"strings"

	"newel/internal/message"
	"newel/internal/newel"
)

// CarerWords says what somebody is who looks after a family, or that their
// account is off.
func CarerWords(t *message.Printer, a newel.Account) string {
	if !a.Active {
		return t.Text("people.state_off")
	}
	return CapacityWords(t, a)
}

// CapacityWords lists what an account may be.
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
