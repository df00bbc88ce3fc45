// Package program is the program document: what a supervisor writes and a
// caregiver reads. It validates documents, converts them to and from forms, and
// builds the kits that phones record with. It knows nothing of the database,
// HTTP or the clock; callers pass in what it needs of them.
package program
