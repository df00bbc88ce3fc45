package httpd

import (
	"os"
	"testing"

	"newel/internal/account"
)

// TestMain makes a password hash cost a thirtieth of what it costs a clinic:
// what is tested here is who may sign in, and internal/account tests the cost.
func TestMain(m *testing.M) {
	account.DefaultCost = account.Cost{Memory: 1024, Passes: 2, Threads: 1}
	os.Exit(m.Run())
}
