package view

import (
	"strconv"

	"newel/internal/message"
)

// SignInPage is the sign-in page for staff. Families use an invitation.
type SignInPage struct {
	Form FormState
	Next string // the page to open afterwards
}

func (p SignInPage) fields() (email, password Field) {
	email = with(p.Form.Needed("email", "signin.email"), "type", "email", "autocomplete", "username", "inputmode", "email", "autocapitalize", "none", "spellcheck", "false")
	password = with(p.Form.Needed("password", "signin.password"), "autocomplete", "current-password")
	return email, password
}

// SetupPage is the page on which a new member of staff chooses a password.
type SetupPage struct {
	Form       FormState
	First      bool // also asks for the clinic and the email address
	Clinic     string
	SignInName string
	Least      int // minimum length of a password
}

func (p SetupPage) title() string {
	if p.First {
		return p.Form.T.Text("setup.title_first")
	}
	return p.Form.T.Text("setup.title")
}

func (p SetupPage) fields() []Field {
	name := with(p.Form.Needed("name", "setup.name"), "autocomplete", "name")
	if !p.First {
		return []Field{name}
	}
	return []Field{
		p.Form.Needed("clinic", "setup.clinic"),
		with(p.Form.Needed("time_zone", "setup.time_zone"), "spellcheck", "false", "autocapitalize", "none"),
		name,
		with(p.Form.Needed("email", "setup.email"), "type", "email", "autocomplete", "username", "inputmode", "email", "autocapitalize", "none", "spellcheck", "false"),
	}
}

func newPasswords(f FormState, least int) []Field {
	password := with(f.Needed("password", "password.new"), "autocomplete", "new-password")
	password.Hint = f.T.Text("password.new_hint", "least", strconv.Itoa(least))
	return []Field{password, with(f.Needed("again", "password.again"), "autocomplete", "new-password")}
}

// PasswordPage is the page on which staff change their own password.
type PasswordPage struct {
	Form       FormState
	SignInName string
	Least      int
}

func (p PasswordPage) current() Field {
	return with(p.Form.Needed("current", "password.current"), "autocomplete", "current-password")
}

// JoinPage is the page of an invitation; it says what its one button will do.
type JoinPage struct {
	Form   FormState
	Person string
	Clinic string
}

// DoorPage is an open door of the demo clinic.
type DoorPage struct {
	Form FormState
	Name string // the person to sign in as
	What string // what they do, in words
}

// UsedPage says that a link is no longer valid, and where to go instead.
type UsedPage struct {
	T     *message.Printer
	Title string
	Text  string
	Link  *Link
}
