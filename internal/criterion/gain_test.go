package criterion

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"newel/internal/exact"
)

func TestProgress(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, criterion string
		sessions        []string
		want            string
	}{
		{"eleven sessions", "", times(11, "5/10"), "none"},
		{"twelve", "", join(times(4, "4/10"), times(8, "525/1000")), "12 sessions, thirds of 4: 40 to 52.5"},
		{"seventeen", "", times(17, "3/10"), "17 sessions, thirds of 5: 30 to 30"},
		{"eighteen of twenty-five", "", join(times(7, "1/10"), times(18, "5/10")), "18 sessions, thirds of 6: 50 to 50"},
		{"met", "", join(times(12, "5/10"), times(3, "9/10")), "none"},
		{"with the planned help", "", times(12, "0/10 with=model*5 plan=model"), "12 sessions, thirds of 4: 50 to 50"},
		{"a rate", "4 per minute in 3 sessions", join(times(4, "count=2/60"), times(8, "count=22/600")), "12 sessions, thirds of 4: 2 to 2.2"},
		{"over the limit", "a response within 2 seconds in 3 sessions", join(times(4, "8/8 over"), times(8, "8/8 lat=9")), "12 sessions, thirds of 4: over to 9"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if c.criterion == "" {
				c.criterion = "80% in 3 sessions"
			}
			if got := progressInShort(mustEvaluate(t, caseOf(c.criterion, c.sessions...)).Progress); got != c.want {
				t.Errorf("%s, want %s", got, c.want)
			}
		})
	}
}

func progressInShort(p *Progress) string {
	if p == nil {
		return "none"
	}
	mean := func(v *float64) string {
		if v == nil {
			return "over"
		}
		return fmt.Sprintf("%g", *v)
	}
	return fmt.Sprintf("%d sessions, thirds of %d: %s to %s", p.Sessions, p.Third, mean(p.Oldest), mean(p.Newest))
}

// TestGainMatchesPlainSums draws accuracies and compares flat with whole-number
// sums: over sessions of 20 trials each, a gain of more than 10 points is more
// than 2 trials a session.
func TestGainMatchesPlainSums(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		correct := rapid.SliceOfN(rapid.IntRange(7, 15), 12, 24).Draw(t, "correct")
		c := caseOf("80% in 3 sessions")
		c.Rules.Off = []FlagKind{Falling}
		for i, n := range correct {
			c.Sessions = append(c.Sessions, sessionOf(fmt.Sprintf("%d/20", n), i+1, i+1))
		}
		c.AsOf = c.Sessions[len(c.Sessions)-1].EndedAt
		r := mustEvaluate(t, c)
		back := correct[max(0, len(correct)-18):]
		third := len(back) / 3
		oldest, newest := 0, 0
		for i := range third {
			oldest += back[i]
			newest += back[len(back)-1-i]
		}
		_, flat := r.Flag(Flat)
		if want := newest-oldest <= 2*third; flat != want {
			t.Fatalf("flat %v; %d of the oldest %d sessions, %d of the newest", flat, oldest, third, newest)
		}
		if p := r.Progress; p == nil || *p.Oldest != exact.Frac(int64(100*oldest), int64(20*third)).Float64() {
			t.Fatalf("%+v", p)
		}
	})
}

// TestNoStallBeforeTwelve checks the promise to families: the rules about a
// lack of progress never speak before the twelfth session.
func TestNoStallBeforeTwelve(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := mustEvaluate(t, anyCase().Draw(t, "case"))
		for _, kind := range []FlagKind{Flat, Uneven, Long, Close} {
			if f, raised := r.Flag(kind); raised && len(f.Sessions) < 12 {
				t.Fatalf("%s after %d sessions", kind, len(f.Sessions))
			}
		}
		if _, raised := r.Flag(Close); raised {
			for _, kind := range []FlagKind{Flat, Uneven, Long} {
				if _, also := r.Flag(kind); also {
					t.Fatalf("close and %s", kind)
				}
			}
		}
	})
}
