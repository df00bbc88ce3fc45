package httpd

import (
	"math/rand/v2"
	"strings"
	"testing"

	"newel/internal/newel"
)

// TestF1CutAtAnyMoment: sessions grow tap by tap, and each state is sent over a
// connection that is cut at a random place of the request or its answer, 240
// times in all. Everything that a phone was told is stored exists once; the
// phone sends everything else again.
func TestF1CutAtAnyMoment(t *testing.T) {
	t.Parallel()
	const (
		sessions = 20
		states   = 12
		answer   = 2400 // bytes, somewhat more than an answer has
	)
	random := rand.New(rand.NewPCG(20, 12)) // fixed seed: always the same places
	b := newBenchSite(t)
	var told shadow
	l := newLine(t, b.as(b.Bench.Home.Caregiver))
	believed := 0
	for range sessions {
		s := b.session("")
		s.ID = newel.NewID[newel.RecordingID]()
		for taps := 1; taps <= states; taps++ {
			s.Marks, s.Open = strings.Repeat("a", taps), taps < states
			d := s.Document()
			cut := fault{up: -1, down: random.IntN(answer), spoil: -1}
			if random.IntN(2) == 0 {
				cut = fault{up: random.IntN(l.size(d)), down: -1, spoil: -1}
			}
			l.set(cut)
			receipt, err := l.document(d)
			if err == nil {
				believed++
				told.note(*receipt)
			}
			if taps < states {
				continue // like a phone whose person taps on before it sends again
			}
			l.set(sound)
			receipt, err = l.document(d)
			if err != nil {
				t.Fatal(err)
			}
			told.note(*receipt)
		}
	}
	told.check(t, b)
	if n := b.count(`select count(*) from recording`); n != sessions {
		t.Errorf("%d recordings of %d sessions", n, sessions)
	}
	if believed == 0 || believed == sessions*states {
		t.Errorf("%d of %d answers were believed: the cuts are badly distributed", believed, sessions*states)
	}
}
