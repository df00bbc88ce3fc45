// Package view renders pages: templ components and their view models. A
// component reads only its model; the code that fills the model decides what is
// shown and allowed. Geometry comes from chart.
package view

import (
	"newel/internal/href"
	"newel/internal/message"
)

// Page holds what every full page needs, in any layout.
type Page struct {
	Title   string // of the document, without the program's name
	Lang    string // BCP 47; empty for en
	Dir     string // "ltr" or "rtl"; empty for ltr
	Section string // Key of the current navigation item
	Nav     []NavItem

	Actor     string // name of the signed-in person
	ActorHref string // their account page; empty for no link
	SignOut   string // address of the sign-out form; empty for no form

	Notice *Notice
	// Live is the address of change notifications; empty for none. LiveWords
	// link to the current page when typed text keeps this one from updating.
	Live, LiveWords string
	Assets          func(name string) string // path of a built asset by its plain name

	// Account is for whom a caregiver's page was rendered. Copy says that their
	// phone may keep a copy of it.
	Account string
	Copy    bool

	Joining bool // links a phone: the page carries only what it needs itself

	T      *message.Printer // of the page's language
	Outbox bool             // the page has a line about what is waiting on a phone
}

// NavItem is one entry of the staff navigation. The handler omits items that
// the reader may not open.
type NavItem struct{ Key, Label, Href string }

// Notice is a line below the page header: what has just been done, or a
// caution.
type Notice struct {
	Text string
	Warn bool // needs attention: clay color, with a mark
}

func (p Page) lang() string {
	if p.Lang == "" {
		return "en"
	}
	return p.Lang
}

func (p Page) dir() string {
	if p.Dir == "" {
		return "ltr"
	}
	return p.Dir
}

func (p Page) title() string {
	if p.Title == "" {
		return "Newel"
	}
	return p.Title + " · Newel"
}

func (p Page) asset(name string) string {
	if p.Assets == nil {
		return href.Asset(name)
	}
	return p.Assets(name)
}

// htmxConfig disables injected styles, which the security policy forbids, and
// shows responses to failed forms.
const htmxConfig = `{"includeIndicatorCSS":false,"history":false}`
