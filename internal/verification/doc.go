// Package verification checks Newel's numbers against outside sources: tables
// of inputs and the results that a source states, each with where we saw it. It
// contains only tests, which also write docs/verification.md.
package verification
