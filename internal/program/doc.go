// Package program is the program document: what a supervisor writes and a
// caregiver reads. It checks documents, puts them into a form and takes them
// out of it again, and makes of them the kits that phones record with. It knows
// no database, no HTTP and no clock; what it needs of them is passed in.
package program
