package gallery

import (
	"bytes"
	"testing"

	"github.com/a-h/templ"

	"newel/internal/chart"
	"newel/internal/htmlcheck"
	"newel/internal/view"
)

// check renders a component and checks its markup.
func check(t *testing.T, c templ.Component, checkers ...htmlcheck.Checker) {
	t.Helper()
	var page bytes.Buffer
	if err := c.Render(t.Context(), &page); err != nil {
		t.Fatal(err)
	}
	if err := htmlcheck.Run(&page, checkers...); err != nil {
		t.Error(err)
	}
}

func TestEveryExhibitIsASoundPage(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, e := range Exhibits() {
		if seen[e.Name] {
			t.Errorf("two exhibits are called %s", e.Name)
		}
		seen[e.Name] = true
		t.Run(e.Name, func(t *testing.T) {
			t.Parallel()
			check(t, e.Component(nil), htmlcheck.Page)
		})
	}
}

func TestStaffNavigation(t *testing.T) {
	t.Parallel()
	p := framed("Library", "library", func(name string) string { return "/assets/x-" + name })
	p.Notice = &view.Notice{Text: "Version 4 is published."}
	check(t, staffPage(p, templ.NopComponent),
		htmlcheck.In("title", htmlcheck.HasExactText("Library · Newel")),
		htmlcheck.Count("header nav a", 5),
		htmlcheck.Count("header nav a[aria-current]", 1),
		htmlcheck.In(`header nav a[aria-current="page"]`, htmlcheck.HasExactText("Library")),
		htmlcheck.In(`head script[src="/assets/x-theme.js"]`),
		htmlcheck.NotIn(`head script[src="/assets/x-theme.js"][defer], head script[src="/assets/x-theme.js"][type]`),
		htmlcheck.In(`link[href="/assets/x-staff.css"]`),
		htmlcheck.In(`.notice[role="status"]`, htmlcheck.HasExactText("Version 4 is published.")),
		htmlcheck.In(`form[method="post"][action="/sign-out"]`),
		htmlcheck.In("button[data-theme-switch][hidden]"),
	)
}

func TestCaregiverPagesHaveNoStaffNavigation(t *testing.T) {
	t.Parallel()
	check(t, phonePage(framed("Today", "", nil)), htmlcheck.NotIn("header.top"), htmlcheck.NotIn(`nav[aria-label="Main"]`))
	check(t, phoneArabicPage(view.Page{T: english(), Lang: "ar", Dir: "rtl"}), htmlcheck.In(`html[lang="ar"][dir="rtl"]`))
}

func TestStairwayStates(t *testing.T) {
	t.Parallel()
	full, steps := fullStair()
	check(t, view.FullStair(full, steps),
		htmlcheck.In(`svg[role="img"]`, htmlcheck.HasAttr("aria-label", full.Name)),
		htmlcheck.Count("ol > li", 7), htmlcheck.Count(`li[aria-current="step"]`, 1),
		htmlcheck.In("li.here", htmlcheck.HasText("K3")), htmlcheck.In(".d-hatch"), htmlcheck.In(".d-rail"))
	check(t, view.SmallStair(view.Stair{Breakdown: chart.Breakdown{First: stairs(4, 5, 0)}}, 24),
		htmlcheck.In(`svg[aria-hidden="true"]`, htmlcheck.HasAttr("height", "24")), htmlcheck.NotIn(".d-open, .d-rail"))
	two, lists := stairOfRoles()
	check(t, view.FullStairRoles(two, lists), htmlcheck.Count(".flights h3", 2), htmlcheck.In("svg", htmlcheck.HasText("U7"), htmlcheck.HasText("Finder")))
}

func TestGraphPoints(t *testing.T) {
	t.Parallel()
	m := fullGraph()
	check(t, view.FullGraph(m),
		htmlcheck.Count("svg.graph a", 21),
		htmlcheck.In(`svg.graph a[href="/sessions/16"] .d-faint`),
		htmlcheck.In(`svg.graph a[href="/sessions/16"]`, htmlcheck.HasAttr("aria-label", "Session 16: 2 of 2, Lubna")),
		htmlcheck.Count("details tbody tr", 21), htmlcheck.Sound)
	check(t, view.SmallGraph(smallGraphs()[0]), htmlcheck.Count(".d-clay", 1), htmlcheck.In("a", htmlcheck.HasText("Open the graph of Wren Brennick")), htmlcheck.In("figcaption"))
}
