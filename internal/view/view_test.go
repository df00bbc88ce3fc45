package view

import (
	"bytes"
	"context"
	"testing"

	"github.com/a-h/templ"

	"newel/internal/chart"
	"newel/internal/htmlcheck"
)

// render returns a component as a page would send it.
func render(t *testing.T, c templ.Component) *bytes.Buffer {
	t.Helper()
	var b bytes.Buffer
	if err := c.Render(context.Background(), &b); err != nil {
		t.Fatal(err)
	}
	return &b
}

func check(t *testing.T, c templ.Component, checkers ...htmlcheck.Checker) {
	t.Helper()
	if err := htmlcheck.Run(render(t, c), checkers...); err != nil {
		t.Error(err)
	}
}

func TestInputIsEscaped(t *testing.T) {
	t.Parallel()
	const typed = `"><script>alert(1)</script>`
	f := Field{T: inEnglish(t), Name: "n", Label: typed, Value: typed, Hint: typed, Error: typed, Options: []Option{{typed, typed, typed}}}
	for name, c := range map[string]templ.Component{
		"text": TextField(f), "area": TextArea(f), "select": SelectField(f), "radio": RadioSet(f), "check": CheckField(f),
		"problems": ProblemList(Problems(f), inEnglish(t)), "lede": Lede(typed, typed),
		"error": FailureText(Failure{Title: typed, Text: typed, Number: typed}),
		"stair": SmallStair(Stair{Breakdown: chart.Breakdown{First: []chart.Step{{Label: "U1", State: chart.Met}, {Label: "U2"}, {Label: "U3"}}}, Name: typed}, 24),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			check(t, c, htmlcheck.NotIn("script"))
		})
	}
}

func TestScriptURLsAreRefused(t *testing.T) {
	t.Parallel()
	check(t, ButtonLink(Link{"x", "javascript:alert(1)"}, false), htmlcheck.NoInline)
}

func TestFieldWithAnError(t *testing.T) {
	t.Parallel()
	f := Field{T: inEnglish(t), Name: "born", Label: "Date of birth", Hint: "As on the card.", Value: "31.2.", Error: "There is no such day.", Required: true}
	check(t, DateField(f),
		htmlcheck.In("label[for=f-born]", htmlcheck.HasExactText("Date of birth")),
		htmlcheck.In("input#f-born[type=date]",
			htmlcheck.HasAttr("value", "31.2."), htmlcheck.HasAttr("aria-invalid", "true"),
			htmlcheck.HasAttr("aria-describedby", "f-born-error f-born-hint"), htmlcheck.HasAttr("aria-required", "true")),
		htmlcheck.In("#f-born-error", htmlcheck.HasExactText("There is no such day.")),
		htmlcheck.Sound)
	check(t, ProblemList(Problems(f, Field{T: inEnglish(t), Name: "fine", Label: "Fine"}), inEnglish(t)),
		htmlcheck.Count("li", 1), htmlcheck.In(`a[href="#f-born"]`, htmlcheck.HasExactText("Date of birth: There is no such day.")))
}

func TestFieldWithoutAnError(t *testing.T) {
	t.Parallel()
	check(t, TextField(Field{T: inEnglish(t), Name: "note", Label: "Note"}),
		htmlcheck.In("label", htmlcheck.HasExactText("Note (optional)")),
		htmlcheck.NotIn("[aria-invalid], [aria-describedby], .error"))
	if got := render(t, ProblemList(nil, inEnglish(t))).String(); got != "" {
		t.Errorf("no problems: got %q, want nothing", got)
	}
}

func TestPasswordIsNeverSentBack(t *testing.T) {
	t.Parallel()
	check(t, PasswordField(Field{T: inEnglish(t), Name: "p", Label: "Password", Value: "secret"}), htmlcheck.NotIn("[value]"))
}

func TestTextFieldKinds(t *testing.T) {
	t.Parallel()
	check(t, TextField(Field{T: inEnglish(t), Name: "e", Label: "Email", Attrs: templ.Attributes{"type": "email"}}), htmlcheck.In("input[type=email]"), htmlcheck.Count("input", 1))
}

func TestRadioSet(t *testing.T) {
	t.Parallel()
	f := Field{
		T:    inEnglish(t),
		Name: "tongue", Label: "Language on the phone", Required: true, Value: "ar",
		Options: []Option{{"en", "English", ""}, {"ar", "Arabic", "right to left"}, {"de", "German", ""}},
	}
	check(t, RadioSet(f),
		htmlcheck.In("fieldset > legend", htmlcheck.HasExactText("Language on the phone")),
		htmlcheck.Count("input[type=radio]", 3), htmlcheck.Count("input[checked]", 1), htmlcheck.In("input[value=ar][checked]"), htmlcheck.Sound)
}

// The numbers come from the design sheet: a tread of 10 by 4 at 1, 7, and posts
// of 1 at x 1, 4, 7, 10 from y 1.
func TestMarkPaths(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		mark Mark
		size int
		want string
	}{
		{MarkAlone, 12, "M1 7h10v4h-10z"},
		{MarkHelp2, 12, "M1 7h10v4h-10zM1 1h1v6h-1zM4 1h1v6h-1z"},
		{MarkNotYet, 12, "M1 7h10v4h-10zM2 8h8v2h-8z"},
		{MarkNoResponse, 12, "M1 7h3v4h-3zM8 7h3v4h-3z"},
		{MarkSaidNo, 32, "M8 4h5v25h-5zM19 4h5v25h-5z"},
		{MarkAdultPart, 20, "M1 16.5h18v1.5h-18z"},
		{MarkNoChance, 20, "M1 13.5h3v3h-3zM8.5 13.5h3v3h-3zM16 13.5h3v3h-3z"},
	} {
		if got := markPath(c.mark, c.size); got != c.want {
			t.Errorf("%s at %d: got %s, want %s", c.mark.Name(), c.size, got, c.want)
		}
	}
	for level, want := range map[int]Mark{-1: MarkAlone, 0: MarkAlone, 1: MarkHelp1, 4: MarkHelp4, 9: MarkHelp4} {
		if got := HelpMark(level); got != want {
			t.Errorf("level %d: got %s, want %s", level, got.Name(), want.Name())
		}
	}
}

func TestMarkNames(t *testing.T) {
	t.Parallel()
	check(t, TreadMark(MarkSaidNo, 20, "said no"), htmlcheck.In(`svg[role="img"]`, htmlcheck.HasAttr("aria-label", "said no")))
	check(t, TreadMark(MarkSaidNo, 20, ""), htmlcheck.In(`svg[aria-hidden="true"]`))
	german := func(Mark) string { return "allein" }
	check(t, TreadMarks([]Mark{MarkAlone}, 12, german), htmlcheck.In(`svg[aria-label="allein"]`))
}

func TestActsHaveAtMostOneSolid(t *testing.T) {
	t.Parallel()
	check(t, Acts("Decide", []Act{{Glyph: GlyphAdvance, Label: "Advance", Name: "d", Value: "a", Solid: true}, {Glyph: GlyphSeen, Label: "Seen", Href: "/seen"}}),
		htmlcheck.In(`[role="group"]`, htmlcheck.HasAttr("aria-label", "Decide")),
		htmlcheck.In("button.solid[type=submit]", htmlcheck.HasAttr("value", "a")), htmlcheck.In(`a[href="/seen"]`))
}
