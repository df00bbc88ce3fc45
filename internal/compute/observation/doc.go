// Package observation reads the records of two observers, which package measure compares, and
// samples observations in time.
package observation
