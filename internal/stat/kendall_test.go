package stat

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"newel/internal/exact"
)

// TestOrdersByEnumeration compares the counts with every permutation.
func TestOrdersByEnumeration(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var y []exact.Rat
		for range rapid.IntRange(2, 6).Draw(t, "n") {
			y = append(y, exact.Int(rapid.Int64Range(1, 4).Draw(t, "value")))
		}
		s, far, all := Rising(y), int64(0), int64(0)
		permute(y, 0, func() {
			all++
			if of := Rising(y); max(of, -of) >= max(s, -s) {
				far++
			}
		})
		if got, ok := AtLeastAsFar(s, Ties(y)); !ok || !got.Equal(exact.Frac(far, all)) {
			t.Fatalf("%v of %v", got, exact.Frac(far, all))
		}
	})
	if _, ok := AtLeastAsFar(0, []int{1}); ok {
		t.Error("one value has a p")
	}
	if counts, _ := OrdersByS(slices.Repeat([]int{1}, MaxPermuted+1)); counts != nil {
		t.Error("more values than can be counted")
	}
	// 20! orders still fit in an int64.
	counts, lowest := OrdersByS(slices.Repeat([]int{1}, MaxPermuted))
	if lowest != -190 || len(counts) != 191 || counts[0] != 1 || counts[190] != 1 || counts[1] != 19 {
		t.Errorf("lowest %d, %d counts", lowest, len(counts))
	}
}

func permute(y []exact.Rat, from int, visit func()) {
	if from == len(y) {
		visit()
		return
	}
	for i := from; i < len(y); i++ {
		y[from], y[i] = y[i], y[from]
		permute(y, from+1, visit)
		y[from], y[i] = y[i], y[from]
	}
}
