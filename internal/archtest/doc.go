// Package archtest holds the architecture as tests: which package may import
// which, who may know the database driver and the router, and what the pure
// packages keep away from. It has no code but its tests.
package archtest
