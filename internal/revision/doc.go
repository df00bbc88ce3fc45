// Package revision holds two states of a program against each other: what has
// changed from one version to the next, and how the work of two people who
// wrote at the same time comes together. Steps are known by their keys, whatever
// they are called and wherever they stand. It is pure.
package revision
