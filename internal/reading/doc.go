// Package reading computes the status of placements and of caseload rows:
// readings, groups, late data, what to check first, and what blocks a rule. It
// has no transactions and no store; callers pass in what it needs.
package reading
