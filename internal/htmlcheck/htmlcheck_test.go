package htmlcheck

import (
	"strings"
	"testing"
)

func TestCheckers(t *testing.T) {
	t.Parallel()
	const page = `<main><h1>The  case
load</h1><ul><li class="a">one</li><li>two</li></ul><a href="/x">go</a></main>`
	for _, c := range []struct {
		name  string
		check Checker
		want  string // part of the message; empty for no error
	}{
		{"there", In("main li"), ""},
		{"not there", In("main p"), "nothing matches main p"},
		{"exact text", In("h1", HasExactText("The case load")), ""},
		{"other text", In("h1", HasExactText("Library")), `in h1: text is "The case load", want "Library"`},
		{"part of a text", In("h1", HasText("case")), ""},
		{"not part of it", In("h1", HasText("stairs")), "does not contain"},
		{"count", Count("li", 2), ""},
		{"other count", Count("li", 3), "2 nodes match li, want 3"},
		{"none", NotIn("p"), ""},
		{"one too many", NotIn("a"), "1 nodes match a, want 0"},
		{"attribute", In("a", HasAttr("href", "/x")), ""},
		{"other value", In("a", HasAttr("href", "/y")), `is "/x", want "/y"`},
		{"no attribute", In("a", HasAttr("rel", "x")), "has no rel"},
		{"each names the one", Each("li", HasAttr("class", "a")), "in li, number 2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			expect(t, Run(strings.NewReader(page), c.check), c.want)
		})
	}
}

func TestRules(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, body string
		check      Checker
		want       string
	}{
		{"script file", `<script src="/a.js"></script>`, NoInline, ""},
		{"inline script", `<script>go()</script>`, NoInline, "inline <script>"},
		{"inline style", `<style>a{}</style>`, NoInline, "inline <style>"},
		{"style attribute", `<p style="color:red">x</p>`, NoInline, "style="},
		{"handler", `<p onclick="go()">x</p>`, NoInline, "onclick="},
		{"handler of the library", `<p hx-on:click="go()">x</p>`, NoInline, "hx-on:click="},
		{"script address", `<a href=" JavaScript:go()">x</a>`, NoInline, "JavaScript:go()"},
		{"link to something", `<p id="a"></p><a href="#a">x</a>`, Sound, ""},
		{"link to nothing", `<a href="#a">x</a>`, Sound, "points at nothing"},
		{"nameless drawing", `<svg></svg>`, Sound, "neither a name"},
		{"hidden drawing", `<svg aria-hidden="true"></svg>`, Sound, ""},
		{"drawing with a name", `<svg role="img" aria-label="stairs"></svg>`, Sound, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			expect(t, Run(strings.NewReader(c.body), c.check), c.want)
		})
	}
}

func expect(t *testing.T, err error, want string) {
	t.Helper()
	switch {
	case want == "" && err != nil:
		t.Errorf("got %v, want nothing", err)
	case want != "" && (err == nil || !strings.Contains(err.Error(), want)):
		t.Errorf("got %v, want %q", err, want)
	}
}
