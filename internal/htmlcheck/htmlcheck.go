// Package htmlcheck checks rendered pages with CSS selectors and small,
// composable rules. Tests only.
//
//	err := htmlcheck.Run(body,
//		htmlcheck.In("main", htmlcheck.In("h1", htmlcheck.HasText("Caseload"))),
//		htmlcheck.NoInline, htmlcheck.Sound)
package htmlcheck

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"
)

// A Checker looks at one node and reports what is wrong with it, or nil.
type Checker func(*html.Node) error

// Run parses a page and applies all checkers to it. It reports all problems,
// not only the first.
func Run(page io.Reader, checkers ...Checker) error {
	doc, err := html.Parse(page)
	if err != nil {
		return fmt.Errorf("the page cannot be read: %w", err)
	}
	return All(checkers...)(doc)
}

// All combines checkers into one.
func All(checkers ...Checker) Checker {
	return func(n *html.Node) error {
		var errs []error
		for _, check := range checkers {
			errs = append(errs, check(n))
		}
		return errors.Join(errs...)
	}
}

// In applies the checkers to the first descendant that matches. It reports an
// error if none matches.
func In(selector string, checkers ...Checker) Checker {
	sel := cascadia.MustCompile(selector)
	return func(n *html.Node) error {
		found := sel.MatchFirst(n)
		if found == nil {
			return fmt.Errorf("nothing matches %s", selector)
		}
		if err := All(checkers...)(found); err != nil {
			return fmt.Errorf("in %s: %w", selector, err)
		}
		return nil
	}
}

// Each applies the checkers to every node that matches, if any.
func Each(selector string, checkers ...Checker) Checker {
	sel := cascadia.MustCompile(selector)
	return func(n *html.Node) error {
		var errs []error
		for i, found := range sel.MatchAll(n) {
			if err := All(checkers...)(found); err != nil {
				errs = append(errs, fmt.Errorf("in %s, number %d: %w", selector, i+1, err))
			}
		}
		return errors.Join(errs...)
	}
}

// NotIn reports an error if any node matches.
func NotIn(selector string) Checker { return Count(selector, 0) }

// Count checks that exactly want nodes match.
func Count(selector string, want int) Checker {
	sel := cascadia.MustCompile(selector)
	return func(n *html.Node) error {
		if got := len(sel.MatchAll(n)); got != want {
			return fmt.Errorf("%d nodes match %s, want %d", got, selector, want)
		}
		return nil
	}
}

// HasText checks that the node's text, with white space collapsed, contains
// want.
func HasText(want string) Checker {
	return func(n *html.Node) error {
		if got := Text(n); !strings.Contains(got, want) {
			return fmt.Errorf("text %q does not contain %q", got, want)
		}
		return nil
	}
}

// HasExactText checks that the node's text, with white space collapsed, equals
// want.
func HasExactText(want string) Checker {
	return func(n *html.Node) error {
		if got := Text(n); got != want {
			return fmt.Errorf("text is %q, want %q", got, want)
		}
		return nil
	}
}

// HasAttr checks that the node has an attribute with this value.
func HasAttr(name, want string) Checker {
	return func(n *html.Node) error {
		got, ok := Attr(n, name)
		if !ok {
			return fmt.Errorf("<%s> has no %s", n.Data, name)
		}
		if got != want {
			return fmt.Errorf("<%s %s> is %q, want %q", n.Data, name, got, want)
		}
		return nil
	}
}

// Text returns a node's text with white space collapsed.
func Text(n *html.Node) string {
	var b strings.Builder
	var walk func(*html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.TextNode {
			b.WriteString(n.Data)
		}
		for c := range n.ChildNodes() {
			walk(c)
		}
	}
	walk(n)
	return strings.Join(strings.Fields(b.String()), " ")
}

// Attr returns an attribute of a node.
func Attr(n *html.Node, name string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val, true
		}
	}
	return "", false
}
