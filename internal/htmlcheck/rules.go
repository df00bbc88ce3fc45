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

// NoInline reports whatever a strict content security policy would refuse: scripts and styles written into the
// page, style attributes, event handler attributes, script addresses.
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

// Sound reports what breaks a page for people who do not see it: ids used twice, references to ids that are not
// there, fields without a name, drawings with neither a name nor aria-hidden, pictures without alt.
func Sound(n *html.Node) error {
	ids := map[string]int{}
	labelled := map[string]bool{}
	elements(n, func(e *html.Node) {
		if id, ok := Attr(e, "id"); ok {
			ids[id]++
		}
		if id, ok := Attr(e, "for"); ok && e.Data == "label" {
			labelled[id] = true
		}
	})
	var errs []error
	for id, times := range ids {
		if times > 1 {
			errs = append(errs, fmt.Errorf("id %q is used %d times", id, times))
		}
	}
	elements(n, func(e *html.Node) {
		errs = append(errs, references(e, ids), named(e, labelled))
	})
	return errors.Join(errs...)
}

func references(e *html.Node, ids map[string]int) error {
	var errs []error
	for _, key := range []string{"aria-describedby", "aria-labelledby", "aria-controls", "for"} {
		value, _ := Attr(e, key)
		for _, id := range strings.Fields(value) {
			if ids[id] == 0 {
				errs = append(errs, fmt.Errorf("<%s %s> points at %q, which is not on the page", e.Data, key, id))
			}
		}
	}
	if href, _ := Attr(e, "href"); len(href) > 1 && href[0] == '#' && ids[href[1:]] == 0 {
		errs = append(errs, fmt.Errorf("<a href=%q> points at nothing on the page", href))
	}
	return errors.Join(errs...)
}

func named(e *html.Node, labelled map[string]bool) error {
	switch e.Data {
	case "input", "select", "textarea":
		return namedField(e, labelled)
	case "svg":
		_, name := Attr(e, "aria-label")
		_, by := Attr(e, "aria-labelledby")
		hidden, _ := Attr(e, "aria-hidden")
		if !name && !by && hidden != "true" {
			return errors.New("a drawing has neither a name nor aria-hidden")
		}
	case "img":
		if _, ok := Attr(e, "alt"); !ok {
			return errors.New("a picture has no alt")
		}
	}
	return nil
}

func namedField(e *html.Node, labelled map[string]bool) error {
	kind, _ := Attr(e, "type")
	if kind == "hidden" || kind == "submit" {
		return nil
	}
	if _, ok := Attr(e, "aria-label"); ok {
		return nil
	}
	if id, ok := Attr(e, "id"); ok && labelled[id] {
		return nil
	}
	for p := e.Parent; p != nil; p = p.Parent {
		if p.Data == "label" {
			return nil
		}
	}
	name, _ := Attr(e, "name")
	return fmt.Errorf("<%s name=%q> has no label", e.Data, name)
}

// Page reports what every whole page must have: a language and direction, one h1, one main, a title, a viewport that
// may be enlarged, and a first link that skips to the matter.
func Page(n *html.Node) error {
	return All(
		In("html[lang][dir]"), In("head title"), Count("h1", 1), Count("main", 1),
		In(`meta[name="viewport"]`, HasAttr("content", "width=device-width, initial-scale=1")),
		In(`body > a.skip[href="#main"]`), In("main#main"),
		NoInline, Sound,
	)(n)
}
