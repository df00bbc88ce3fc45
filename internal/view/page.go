// Package view renders pages: templ components and the view models that they take. A component reads nothing but its
// model; what may be shown or pressed was decided by whoever filled it in. Geometry comes from chart.
package view

import (
	"newel/internal/href"
	"newel/internal/message"
)

// Page is what every whole page needs, whichever layout it has.
type Page struct {
	Title   string // of the document, without the program's name
	Lang    string // BCP 47; empty: en
	Dir     string // "ltr" or "rtl"; empty: ltr
	Section string // Key of the navigation item one stands on
	Nav     []NavItem

	Actor     string // name of whoever is signed in
	ActorHref string // where the own account is; empty: the name is no link
	SignOut   string // where the sign-out form is sent; empty: no form

	Notice *Notice
	// Live is where the page hears of changes; empty: it does not. LiveWords
	// lead to the page as it is now, while something typed keeps it as it was.
	Live, LiveWords string
	Assets          func(name string) string // path of a built asset by its plain name
	Words           Words                    // in the page's language; the zero value is English

	// T fills the line that says what waits on a phone; nil: the page has none.
	T *message.Printer
}

// NavItem is one entry of the staff navigation. Items that somebody may not open are left out by the handler.
type NavItem struct{ Key, Label, Href string }

// Notice is one line under the head of a page: what has just been done, or a caution.
type Notice struct {
	Text string
	Warn bool // needs attention: clay, with a mark
}

// Words are the few fixed words of the layouts and forms.
type Words struct {
	Skip, Main, Theme, SignOut, Optional, Problems, ProblemsLead, Foot, Home string
}

var english = Words{
	Skip:         "Skip to content",
	Main:         "Main",
	Theme:        "Dark or light",
	SignOut:      "Sign out",
	Optional:     "(optional)",
	Problems:     "Please check these fields",
	ProblemsLead: "Nothing was lost. Please check:",
	Foot:         "Newel supports a qualified supervisor and local law, and never replaces them. It is not watched live and is not for emergencies.",
	Home:         "Newel, home page",
}

// filled puts English words where none were given.
func (w Words) filled() Words {
	for _, f := range []struct {
		field   *string
		english string
	}{
		{&w.Skip, english.Skip},
		{&w.Main, english.Main},
		{&w.Theme, english.Theme},
		{&w.SignOut, english.SignOut},
		{&w.Optional, english.Optional},
		{&w.Problems, english.Problems},
		{&w.ProblemsLead, english.ProblemsLead},
		{&w.Foot, english.Foot},
		{&w.Home, english.Home},
	} {
		if *f.field == "" {
			*f.field = f.english
		}
	}
	return w
}

func (p Page) words() Words { return p.Words.filled() }

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

// htmxConfig: no style from script, since pages allow none; and answers to forms that failed are shown.
const htmxConfig = `{"includeIndicatorCSS":false,"history":false}`
