package view

import (
	"newel/internal/message"
	"newel/internal/newel"
)

// StaffPage lists the clinic's staff.
type StaffPage struct {
	T        *message.Printer
	Clinic   string
	TimeZone string
	People   []StaffLine
}

// StaffLine is one member of staff in the list.
type StaffLine struct {
	Name, Href, SignInName, Capacities, State string
	Off                                       bool
}

// StaffFormPage is the form for a member of staff.
type StaffFormPage struct {
	Form   FormState
	Title  string
	Button string
}

func (p StaffFormPage) fields() (name, email, capacities Field) {
	t := p.Form.T
	name = p.Form.Needed("name", "people.name")
	email = with(p.Form.Needed("email", "people.email"), "type", "email", "inputmode", "email", "autocomplete", "off", "autocapitalize", "none", "spellcheck", "false")
	capacities = p.Form.Needed("capacities", "people.capacities")
	for _, c := range []string{"lead", "supervisor", "trainee", "office", "administrator"} {
		capacities.Options = append(capacities.Options, Option{Value: c, Label: t.Text("capacity." + c), Hint: t.Text("people.capacity_" + c)})
	}
	return name, email, capacities
}

// StaffMemberPage is one member of staff, with the possible actions.
type StaffMemberPage struct {
	StaffFormPage
	Name    string
	State   string
	Active  bool
	HasLink bool
	LinkEnd string
	ID      newel.AccountID
}

// LinkPage shows a new link once.
type LinkPage struct {
	T       *message.Printer
	Title   string
	Lead    string // for whom, how long, what it does
	Link    string // the whole address
	Caution string
	Back    Link
	QR      *QR // the same link as a code for a phone's camera; nil for none
}

// ClinicFormPage is the form for the clinic itself.
type ClinicFormPage struct{ Form FormState }

func (p ClinicFormPage) fields() []Field {
	return []Field{
		p.Form.Needed("clinic", "setup.clinic"),
		with(p.Form.Needed("time_zone", "setup.time_zone"), "spellcheck", "false", "autocapitalize", "none"),
	}
}
