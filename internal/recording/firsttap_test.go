package recording

import "testing"

// TestFirstTap checks that a correction does not move a trial, and that the
// time is unknown if only the correction has arrived.
func TestFirstTap(t *testing.T) {
	t.Parallel()
	of := func(rev int, atMS int64) State {
		d := doc(rev, 1)
		d.Trials[0].AtMS = atMS
		return Of(d)
	}
	both, err := Merge(of(2, 9000), of(1, 4000))
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		state State
		n     int
		atMS  int64
		ok    bool
	}{
		"first revision":       {of(1, 4000), 1, 4000, true},
		"first and correction": {both, 1, 4000, true},
		"only a correction":    {of(2, 9000), 1, 0, false},
		"no such trial":        {both, 7, 0, false},
	} {
		if atMS, ok := c.state.FirstTap(c.n); atMS != c.atMS || ok != c.ok {
			t.Errorf("%s: %d, %v; want %d, %v", name, atMS, ok, c.atMS, c.ok)
		}
	}
}
