// Package writing helps authors write a program: it generates series of steps,
// reports what is missing before a program is published, proposes fixes, and
// tries a criterion on recorded sessions. It is pure: it reads no clock and
// stores nothing. The steps it generates are ordinary ones that a supervisor
// can change and is responsible for.
package writing
