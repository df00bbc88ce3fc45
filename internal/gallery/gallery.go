package gallery

import (
	"strconv"
	"sync"

	"github.com/a-h/templ"

	"newel/internal/chart"
	"newel/internal/message"
	"newel/internal/view"
)

// Exhibit is one page of the gallery. A test renders all of them, and anyone
// can view them without a database.
type Exhibit struct {
	Name      string // file name without extension
	Title     string
	Component func(assets func(string) string) templ.Component
}

// Exhibits lists every exhibit.
func Exhibits() []Exhibit {
	return []Exhibit{
		{"stairway", "Stairway, tread marks, decisions", staffExhibit("Stairway and marks", "library", drawings)},
		{"graphs", "Graphs", staffExhibit("Graphs", "caseload", graphs)},
		{"form", "A form", staffExhibit("A form", "clinic", func() templ.Component { return formPage(false) })},
		{"form-problems", "A form that came back", staffExhibit("A form", "clinic", func() templ.Component { return formPage(true) })},
		{"table", "Table, empty page", func(assets func(string) string) templ.Component {
			p := framed("Table", "learners", assets)
			p.Notice = &view.Notice{Text: "Rami Haddarin, Asking for a break: advanced to K4. The phones show it from now on."}
			return staffPage(p, tablePage())
		}},
		{"sentences-progress", "What a progress page says", staffExhibit("What a progress page says", "caseload", progressSentences)},
		{"sentences-caseload", "What a caseload says", staffExhibit("What a caseload says", "caseload", caseloadSentences)},
		{"sentences-criterion", "What the editor says about a criterion", staffExhibit("What the editor says", "library", criterionSentences)},
		{"phone-sentences", "What a family reads", func(assets func(string) string) templ.Component {
			return familySentences(view.Page{T: english(), Title: "What a family reads", Assets: assets})
		}},
		{"error", "An error", func(assets func(string) string) templ.Component {
			return view.ErrorPage(view.Page{T: english(), Title: "Not found", Assets: assets}, failure)
		}},
		{"plain", "Sign-in", func(assets func(string) string) templ.Component {
			return plainPage(view.Page{T: english(), Title: "Sign in", Assets: assets})
		}},
		{"phone", "A caregiver's page", func(assets func(string) string) templ.Component {
			return phonePage(view.Page{T: english(), Title: "Today", Assets: assets})
		}},
		{"phone-form", "A caregiver's form", func(assets func(string) string) templ.Component {
			return phoneFormPage(view.Page{T: english(), Title: "A line to Mara", Assets: assets})
		}},
		{"phone-rtl", "A caregiver's page, right to left", func(assets func(string) string) templ.Component {
			return phoneArabicPage(view.Page{T: english(), Title: "اليوم", Lang: "ar", Dir: "rtl", Assets: assets})
		}},
	}
}

// english returns the printer of the gallery's pages. The catalogue is embedded
// in the binary and tested, so loading it cannot fail.
var english = sync.OnceValue(func() *message.Printer {
	all, err := message.Load()
	if err != nil {
		panic(err)
	}
	return all.Printer("en")
})

// framed returns the frame of a staff page in the gallery.
func framed(title, section string, assets func(string) string) view.Page {
	return view.Page{
		T: english(), Title: title, Section: section, Assets: assets, Actor: "Mara Vellinger", ActorHref: "/account", SignOut: "/sign-out",
		Nav: []view.NavItem{
			{Key: "caseload", Label: "Caseload", Href: "/caseload"},
			{Key: "learners", Label: "Learners", Href: "/learners"},
			{Key: "library", Label: "Library", Href: "/library"},
			{Key: "reviews", Label: "Reviews", Href: "/reviews"},
			{Key: "clinic", Label: "Clinic", Href: "/clinic"},
		},
	}
}

func staffExhibit(title, section string, inner func() templ.Component) func(func(string) string) templ.Component {
	return func(assets func(string) string) templ.Component {
		return staffPage(framed(title, section, assets), inner())
	}
}

var failure = view.Failure{
	Title: "This page does not exist.",
	Text: "The address may be old, or the page may belong to a family you do not work with. " +
		"If someone sent you the link, ask for a new one.",
	Links:  []view.Link{{Label: "Go to the caseload", Href: "/caseload"}, {Label: "Sign in as someone else", Href: "/sign-in"}},
	Number: "7Q4M-2KXA", Tell: "If you report this, give this number:",
}

// stairs returns n steps: those before at mastered, at itself current, and help
// planned on the first few.
func stairs(n, at, help int) []chart.Step {
	steps := make([]chart.Step, n)
	for i := range steps {
		steps[i].Label = "U" + strconv.Itoa(i+1)
		steps[i].Help = i < help
		if i+1 < at {
			steps[i].State = chart.Met
		} else if i+1 == at {
			steps[i].State = chart.Current
		}
	}
	return steps
}

type namedStair struct {
	view.Stair
	Text string
}

func stairways() []namedStair {
	putIn := stairs(8, 5, 0)
	putIn[5].State = chart.Met
	joint := []chart.Step{{Label: "U6"}, {Label: "U7"}}
	return []namedStair{
		{view.Stair{Breakdown: chart.Breakdown{First: stairs(9, 5, 0)}, Name: "Step 5 of 9. Steps 1 to 4 learned."}, "fifth of nine"},
		{view.Stair{Breakdown: chart.Breakdown{First: stairs(7, 3, 3)}, Name: "Step 3 of 7. Steps 1 and 2 learned; help is planned on steps 1 to 3."}, "third of seven, help planned on 1 to 3"},
		{view.Stair{Breakdown: chart.Breakdown{First: stairs(4, 5, 0)}, Name: "All 4 steps learned."}, "all learned"},
		{view.Stair{Breakdown: chart.Breakdown{First: stairs(5, 1, 2)}, Name: "Step 1 of 5; help is planned on steps 1 and 2."}, "just begun, with help"},
		{view.Stair{Breakdown: chart.Breakdown{First: putIn}, Name: "Step 5 of 8, put in later. Steps 1 to 4 and 6 learned."}, "a step put in: what was met stays inked"},
		{view.Stair{Breakdown: chart.Breakdown{First: stairs(5, 4, 0), Second: stairs(5, 2, 0), Joint: joint}, Name: "Two roles: finder on step 4, hider on step 2 of 5."}, "two roles, one landing"},
	}
}

func fullStair() (view.Stair, []view.StepText) {
	return view.Stair{
		Breakdown: chart.Breakdown{First: stairs(7, 3, 3)},
		Name:      "Stairway of seven steps. K1 and K2 are learned, K3 is the current step, K4 to K7 are to come. Help is planned on K1 to K3.",
	}, []view.StepText{
		{Code: "K1", Text: "Help at once", State: "learned 14 Feb"},
		{Code: "K2", Text: "Help after 2 seconds", State: "learned 20 Feb"},
		{Code: "K3", Text: "Help after 4 seconds, two people", State: "on this step since 24 Feb", Here: true},
		{Code: "K4", Text: "Card at arm’s length, then across the table", State: "not yet"},
		{Code: "K5", Text: "Three kinds of jobs", State: "not yet"},
		{Code: "K6", Text: "Other adults, other room", State: "not yet"},
		{Code: "K7", Text: "“One more, then break”", State: "not yet"},
	}
}

func stairOfRoles() (view.Stair, []view.RoleSteps) {
	return view.Stair{
		Breakdown: chart.Breakdown{
			First: stairs(5, 4, 2), Second: stairs(5, 2, 2), Joint: []chart.Step{{Label: "U6"}, {Label: "U7"}},
		},
		Name:  "Two flights and a landing. Finder is on U4 of 5, hider on U2 of 5; U6 and U7 are done together.",
		Roles: []string{"Finder", "Hider"},
	}, []view.RoleSteps{
		{Role: "Finder", Text: "Turns away until “ready”, picks one cup, looks, gives the cups back."},
		{Role: "Hider", Text: "Asks the others to turn away, hides the disc, keeps hands still until the guess."},
	}
}
