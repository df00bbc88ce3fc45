// Package skill works out how programs and skills depend on one another: which
// programs form a cycle, what a learner lacks for a program and where it is
// taught, in what order programs could follow one another, and how deep each
// is. It is pure and only proposes: a supervisor decides which program a child
// is taught.
package skill
