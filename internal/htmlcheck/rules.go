package htmlcheck

import (
	"errors"
	"fmt"
	"strings"

	"golang.org/x/net/html"
)

// elements calls f for each element under and including n.
func elements(n *html.Node, f func(*html.Node)) {
	if n.Type == html.ElementNode {
		f(n)
	}
	for c := range n.ChildNodes() {
		elements(c, f)
	}
}

// NoInline reports everything that a strict content security policy would
// refuse: inline scripts and styles, style attributes, event handler attributes
// and script URLs.
func NoInline(n *html.Node) error {
	var errs []error
	elements(n, func(e *html.Node) {
		switch e.Data {
		case "script":
			if _, ok := Attr(e, "src"); !ok || Text(e) != "" {
				errs = append(errs, errors.New("an inline <script>"))
			}
		case "style":
			errs = append(errs, errors.New("an inline <style>"))
		}
		for _, a := range e.Attr {
			errs = append(errs, inlineAttr(e, a))
		}
	})
	return errors.Join(errs...)
}

func inlineAttr(e *html.Node, a html.Attribute) error {
	switch {
	case a.Key == "style":
		return fmt.Errorf("<%s style=%q>", e.Data, a.Val)
	case strings.HasPrefix(a.Key, "on"), strings.HasPrefix(a.Key, "hx-on"):
		return fmt.Errorf("<%s %s=%q>", e.Data, a.Key, a.Val)
	case strings.HasPrefix(strings.ToLower(strings.TrimSpace(a.Val)), "javascript:"):
		return fmt.Errorf("<%s %s=%q>", e.Data, a.Key, a.Val)
	}
	return nil
}

// Sound reports what the HTML checkers of the browser tests do not check: links
// to an id that the page does not have, and drawings with neither a name nor
// aria-hidden.
func Sound(n *html.Node) error {
	ids := map[string]bool{}
	elements(n, func(e *html.Node) {
		if id, ok := Attr(e, "id"); ok {
			ids[id] = true
		}
	})
	var errs []error
	elements(n, func(e *html.Node) {
		errs = append(errs, pointsSomewhere(e, ids), namedDrawing(e))
	})
	return errors.Join(errs...)
}

func pointsSomewhere(e *html.Node, ids map[string]bool) error {
	if href, _ := Attr(e, "href"); len(href) > 1 && href[0] == '#' && !ids[href[1:]] {
		return fmt.Errorf("<a href=%q> points at nothing on the page", href)
	}
	return nil
}

func namedDrawing(e *html.Node) error {
	if e.Data != "svg" {
		return nil
	}
	_, name := Attr(e, "aria-label")
	_, by := Attr(e, "aria-labelledby")
	hidden, _ := Attr(e, "aria-hidden")
	if !name && !by && hidden != "true" {
		return errors.New("a drawing has neither a name nor aria-hidden")
	}
	return nil
}

// Page reports what a page lacks besides being valid: a direction, an h1, a
// main, a viewport that allows zooming, and a first link that skips to the main
// content.
func Page(n *html.Node) error {
	return All(
		In("html[dir]"), Count("h1", 1), Count("main", 1),
		In(`meta[name="viewport"]`, HasAttr("content", "width=device-width, initial-scale=1")),
		In(`body > a.skip[href="#main"]`), In("main#main"),
		NoInline, Sound,
	)(n)
}
