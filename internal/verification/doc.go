// Package verification checks Newel's numbers against outside sources: tables of
// inputs and of what a source says about them, each with where we saw it. It has
// no code except its tests, which also write docs/verification.md.
package verification
