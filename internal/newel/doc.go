// Package newel is the domain model: entities with typed ids, capacities and
// permissions, scopes and kinds of error. It knows nothing of the database,
// HTTP or the clock; callers pass in what it needs of them.
package newel
