// Package observation decodes the records of two observers, which package
// measure compares, and computes what time sampling would have scored.
package observation
