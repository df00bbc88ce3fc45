// Package href holds every address of the site exactly once: as the pattern of
// its route, from which it also builds the links.
package href

import (
	"fmt"
	"net/url"
	"strings"
)

// One is a pattern with one variable, such as "/learners/{learner}". A is the
// type of its value: an id or a string.
type One[A any] string

// To returns the address for a.
func (p One[A]) To(a A) string { return fill(string(p), a) }

// Two is a pattern with two variables.
type Two[A, B any] string

// To returns the address for a and b.
func (p Two[A, B]) To(a A, b B) string { return fill(string(p), a, b) }

// fill replaces a pattern's variables with values, from left to right.
func fill(pattern string, values ...any) string {
	var b strings.Builder
	for _, v := range values {
		before, rest, _ := strings.Cut(pattern, "{")
		_, pattern, _ = strings.Cut(rest, "}")
		b.WriteString(before)
		b.WriteString(url.PathEscape(fmt.Sprint(v)))
	}
	b.WriteString(pattern)
	return b.String()
}

// Query appends names and values to an address, in the given order.
func Query(address string, pairs ...string) string {
	var b strings.Builder
	b.WriteString(address)
	for i := 0; i+1 < len(pairs); i += 2 {
		b.WriteByte("?&"[min(i, 1)])
		b.WriteString(pairs[i] + "=" + url.QueryEscape(pairs[i+1]))
	}
	return b.String()
}

// live is the suffix of addresses that stream changes to a page.
const live = "/live"

// Live returns where a page receives changes to what it shows; it works for
// addresses and patterns.
func Live(page string) string { return page + live }
