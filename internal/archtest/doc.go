// Package archtest tests the architecture: which package may import which,
// which packages may use the database driver and the router, and what the pure
// packages must not use. It contains only tests.
package archtest
