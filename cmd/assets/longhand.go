package main

import (
	"regexp"
	"strings"
)

// shorthand matches a declaration of a logical shorthand for both ends of an
// axis. Browsers supported the individual ends long before the shorthands
// (Chrome 69 versus 87, according to MDN's tables), so sources can use the
// short form and old phones still get their margins.
var shorthand = regexp.MustCompile(`(^|[;{\s])((?:margin|padding|inset|border)-(?:inline|block)):\s*([^;}]+)`)

// longhand replaces every logical shorthand in a style sheet with its two ends.
func longhand(css string) string {
	return shorthand.ReplaceAllStringFunc(css, func(decl string) string {
		m := shorthand.FindStringSubmatch(decl)
		before, property, value := m[1], m[2], strings.TrimSpace(m[3])
		start, end := value, value
		if !strings.HasPrefix(property, "border") { // a border's words are width, style and color: the same at both ends
			if parts := words(value); len(parts) == 2 {
				start, end = parts[0], parts[1]
			}
		}
		return before + property + "-start: " + start + "; " + property + "-end: " + end
	})
}

// words splits a value at spaces outside parentheses.
func words(value string) []string {
	var parts []string
	depth, from := 0, 0
	for i, r := range value {
		switch r {
		case '(':
			depth++
		case ')':
			depth--
		case ' ':
			if depth == 0 {
				parts = append(parts, value[from:i])
				from = i + 1
			}
		}
	}
	parts = append(parts, value[from:])
	out := parts[:0]
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return out
}
