// Package newel is the domain: entities with typed ids, capacities and what
// each may do, scopes and kinds of error. It knows no database, no HTTP and no
// clock; what it needs of them is passed in.
package newel
