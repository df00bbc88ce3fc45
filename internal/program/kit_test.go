package program

import (
	"strconv"
	"testing"

	"newel/internal/newel"
)

// TestOrderSeed: the seed is constant for a placement and version, and has 64
// bits.
func TestOrderSeed(t *testing.T) {
	t.Parallel()
	p := newel.Placement{ID: newel.NewID[newel.PlacementID](), VersionID: newel.NewID[newel.VersionID]()}
	seed := orderSeed(p)
	if _, err := strconv.ParseUint(seed, 10, 64); err != nil || orderSeed(p) != seed {
		t.Errorf("seed %q: %v", seed, err)
	}
	other := p
	other.VersionID = newel.NewID[newel.VersionID]()
	if orderSeed(other) == seed {
		t.Error("a different version has the same seed")
	}
}
