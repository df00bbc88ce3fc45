// Package revision compares and merges states of a program: what changed from
// one version to the next, and how to combine the edits of two people who
// worked at the same time. It identifies steps by their keys, whatever their
// name and position. It is pure.
package revision
