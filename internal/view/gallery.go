package view

import (
	"github.com/a-h/templ"

	"newel/internal/chart"
)

// Exhibit is one page of the gallery: every component with invented data, so that a test renders all of them and
// anybody can look at them without a database.
type Exhibit struct {
	Name      string // file name without its ending
	Title     string
	Component func(assets func(string) string) templ.Component
}

// exhibitors collects the galleries of all nouns; each file of pages adds its own in gallery_<noun>.go.
var exhibitors []func() []Exhibit

// Gallery lists every exhibit.
func Gallery() []Exhibit {
	all := []Exhibit{
		{"stairway", "Stairway, tread marks, decisions", staffExhibit("Stairway and marks", "library", galleryDrawings)},
		{"graphs", "Graphs", staffExhibit("Graphs", "caseload", galleryGraphs)},
		{"form", "A form", staffExhibit("A form", "clinic", func() templ.Component { return galleryForm(false) })},
		{"form-problems", "A form that came back", staffExhibit("A form", "clinic", func() templ.Component { return galleryForm(true) })},
		{"table", "Table, empty page", func(assets func(string) string) templ.Component {
			p := GalleryPage("Table", "learners", assets)
			p.Notice = &Notice{Text: "Rami Haddarin, Asking for a break: advanced to K4. The phones show it from now on."}
			return galleryStaff(p, galleryTable())
		}},
		{"error", "An error", func(assets func(string) string) templ.Component {
			return ErrorPage(Page{Title: "Not found", Assets: assets}, galleryFailure)
		}},
		{"plain", "Sign-in", func(assets func(string) string) templ.Component {
			return galleryPlain(Page{Title: "Sign in", Assets: assets})
		}},
		{"phone", "A caregiver's page", func(assets func(string) string) templ.Component {
			return galleryPhone(Page{Title: "Today", Assets: assets})
		}},
		{"phone-form", "A caregiver's form", func(assets func(string) string) templ.Component {
			return galleryPhoneForm(Page{Title: "A line to Mara", Assets: assets})
		}},
		{"phone-rtl", "A caregiver's page, right to left", func(assets func(string) string) templ.Component {
			return galleryPhoneArabic(Page{Title: "اليوم", Lang: "ar", Dir: "rtl", Words: Words{Skip: "إلى الصفحة"}, Assets: assets})
		}},
	}
	for _, more := range exhibitors {
		all = append(all, more()...)
	}
	return all
}

// GalleryPage is the frame of a staff page in the gallery.
func GalleryPage(title, section string, assets func(string) string) Page {
	return Page{
		Title: title, Section: section, Assets: assets, Actor: "Mara Vellinger", ActorHref: "/account", SignOut: "/sign-out",
		Nav: []NavItem{
			{"caseload", "Caseload", "/caseload"},
			{"learners", "Learners", "/learners"},
			{"library", "Library", "/library"},
			{"reviews", "Reviews", "/reviews"},
			{"clinic", "Clinic", "/clinic"},
		},
	}
}

func staffExhibit(title, section string, inner func() templ.Component) func(func(string) string) templ.Component {
	return func(assets func(string) string) templ.Component {
		return galleryStaff(GalleryPage(title, section, assets), inner())
	}
}

var galleryFailure = Failure{
	Title: "This page does not exist.",
	Text: "The address may be old, or the page may belong to a family you do not work with. " +
		"If someone sent you the link, ask for a new one.",
	Links:  []Link{{"Go to the caseload", "/caseload"}, {"Sign in as someone else", "/sign-in"}},
	Number: "7Q4M-2KXA", Tell: "If you report this, give this number:",
}

// galleryStairs makes n steps: those before at climbed, at itself current, help planned on the first few.
func galleryStairs(n, at, help int) []chart.Step {
	steps := make([]chart.Step, n)
	for i := range steps {
		steps[i].Label = "U" + num(float64(i+1))
		steps[i].Help = i < help
		if i+1 < at {
			steps[i].State = chart.Climbed
		} else if i+1 == at {
			steps[i].State = chart.Current
		}
	}
	return steps
}

type namedStair struct {
	Stair
	Text string
}

func galleryStairways() []namedStair {
	putIn := galleryStairs(8, 5, 0)
	putIn[5].State = chart.Climbed
	joint := []chart.Step{{Label: "U6"}, {Label: "U7"}}
	return []namedStair{
		{Stair{Breakdown: chart.Breakdown{First: galleryStairs(9, 5, 0)}, Name: "Step 5 of 9. Steps 1 to 4 learned."}, "fifth of nine"},
		{Stair{Breakdown: chart.Breakdown{First: galleryStairs(7, 3, 3)}, Name: "Step 3 of 7. Steps 1 and 2 learned; help is planned on steps 1 to 3."}, "third of seven, help planned on 1 to 3"},
		{Stair{Breakdown: chart.Breakdown{First: galleryStairs(4, 5, 0)}, Name: "All 4 steps learned."}, "all learned"},
		{Stair{Breakdown: chart.Breakdown{First: galleryStairs(5, 1, 2)}, Name: "Step 1 of 5; help is planned on steps 1 and 2."}, "just begun, with help"},
		{Stair{Breakdown: chart.Breakdown{First: putIn}, Name: "Step 5 of 8, put in later. Steps 1 to 4 and 6 learned."}, "a step put in: what was met stays inked"},
		{Stair{Breakdown: chart.Breakdown{First: galleryStairs(5, 4, 0), Second: galleryStairs(5, 2, 0), Joint: joint}, Name: "Two roles: finder on step 4, hider on step 2 of 5."}, "two roles, one landing"},
	}
}

func galleryFull() (Stair, []StepText) {
	return Stair{
		Breakdown: chart.Breakdown{First: galleryStairs(7, 3, 3)},
		Name:      "Stairway of seven steps. K1 and K2 are learned, K3 is the current step, K4 to K7 are to come. Help is planned on K1 to K3.",
	}, []StepText{
		{Code: "K1", Text: "Help at once", State: "learned 14 Feb"},
		{Code: "K2", Text: "Help after 2 seconds", State: "learned 20 Feb"},
		{Code: "K3", Text: "Help after 4 seconds, two people", State: "on this step since 24 Feb", Here: true},
		{Code: "K4", Text: "Card at arm’s length, then across the table", State: "not yet"},
		{Code: "K5", Text: "Three kinds of jobs", State: "not yet"},
		{Code: "K6", Text: "Other adults, other room", State: "not yet"},
		{Code: "K7", Text: "“One more, then break”", State: "not yet"},
	}
}

func galleryRoles() (Stair, []RoleSteps) {
	return Stair{
		Breakdown: chart.Breakdown{
			First: galleryStairs(5, 4, 2), Second: galleryStairs(5, 2, 2), Joint: []chart.Step{{Label: "U6"}, {Label: "U7"}},
		},
		Name:  "Two flights and a landing. Finder is on U4 of 5, hider on U2 of 5; U6 and U7 are done together.",
		Roles: []string{"Finder", "Hider"},
	}, []RoleSteps{
		{Role: "Finder", Text: "Turns away until “ready”, picks one cup, looks, gives the cups back."},
		{Role: "Hider", Text: "Asks the others to turn away, hides the disc, keeps hands still until the guess."},
	}
}
