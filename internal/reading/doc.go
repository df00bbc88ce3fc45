// Package reading works out what a placement's recordings say, and what a
// caseload asks of whoever looks at it: readings, groups, late data, what to
// check first, what stands in the way of a rule. It knows no transaction and no
// store; what it needs of them is passed in.
package reading
