// Package skill says what programs and skills lead to: which of them form a
// circle, what a learner still lacks for a program and where it is taught, in
// what order programs could follow one another, and how deep each lies. It is
// pure, and only proposes: which program a child is taught is a supervisor's
// decision.
package skill
