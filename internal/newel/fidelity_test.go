package newel

import "testing"

// Procedural fidelity is the share of points done as planned among those with
// an opportunity (common practice): 10 of 12 are 83 %, and a point not seen is
// not an error.
func TestFidelityShare(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct {
		seen     string
		done, of int
	}{
		"all":                        {"ddd", 3, 3},
		"ten of twelve":              {"ddddddddddoo", 10, 12},
		"unseen points do not count": {"duou", 1, 2},
		"nothing was seen":           {"uu", 0, 0},
		"none":                       {"", 0, 0},
	} {
		var points FidelityPoints
		for _, letter := range test.seen {
			points = append(points, FidelityPoint{string(letter), map[rune]Seen{'d': SeenDone, 'o': SeenNotDone, 'u': NotSeen}[letter]})
		}
		if done, of := points.Share(); done != test.done || of != test.of {
			t.Errorf("%s: %d of %d, want %d of %d", name, done, of, test.done, test.of)
		}
		if n := len(points.With(SeenDone)) + len(points.With(SeenNotDone)) + len(points.With(NotSeen)); n != len(test.seen) {
			t.Errorf("%s: %d points counted of %d", name, n, len(test.seen))
		}
	}
}
