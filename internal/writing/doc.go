// Package writing helps to write a program: it makes runs of steps, says what
// is missing before a program is published and proposes how to mend it, and
// tries a criterion on sessions that were already recorded. It is pure: it
// reads no clock and keeps nothing. What it makes are ordinary steps, for a
// supervisor to change and to answer for.
package writing
