package httpd

import (
	"os"
	"testing"

	"newel/internal/account"
)

// TestMain makes password hashing cost a thirtieth of the normal work: these
// tests check who may sign in; internal/account tests the cost.
func TestMain(m *testing.M) {
	account.DefaultCost = account.Cost{Memory: 1024, Passes: 2, Threads: 1}
	os.Exit(m.Run())
}
