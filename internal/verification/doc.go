// Package verification holds what Newel's numbers are checked against outside of
// it: tables of inputs and of what a source says of them, each with where it was
// seen. It has no code but its tests, which also write docs/verification.md.
package verification
