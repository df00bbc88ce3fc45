// Package href holds every address of the site, each written once: as the
// pattern of its route, and from that same pattern as the address to link to.
package href

import (
	"fmt"
	"net/url"
	"strings"
)

// One is the pattern of an address with one variable, such as
// "/learners/{learner}". A is what fills it: an id, or a string.
type One[A any] string

// To is the address for a.
func (p One[A]) To(a A) string { return fill(string(p), a) }

// Two is the pattern of an address with two variables.
type Two[A, B any] string

// To is the address for a and b.
func (p Two[A, B]) To(a A, b B) string { return fill(string(p), a, b) }

// fill puts values in place of a pattern's variables, from left to right.
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

// Query adds names and their values to an address, in the order given.
func Query(address string, pairs ...string) string {
	var b strings.Builder
	b.WriteString(address)
	for i := 0; i+1 < len(pairs); i += 2 {
		b.WriteByte("?&"[min(i, 1)])
		b.WriteString(pairs[i] + "=" + url.QueryEscape(pairs[i+1]))
	}
	return b.String()
}

// live ends the address at which a page hears of changes.
const live = "/live"

// Live is where a page hears that what it shows has changed; it serves
// addresses and patterns alike.
func Live(page string) string { return page + live }
