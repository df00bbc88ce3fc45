package say

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"newel/internal/criterion"
	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
)

// taught is one session of a test: how many trials of how many were correct,
// and who taught.
type taught struct {
	right, of int
	by, place string
}

// inARow returns sessions of the same number of trials.
func inARow(of int, right ...int) []taught {
	out := make([]taught, len(right))
	for i, n := range right {
		out[i] = taught{right: n, of: of, by: "ana"}
	}
	return out
}

// times repeats a number.
func times(n, value int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = value
	}
	return out
}

func join(parts ...[]int) []int {
	var out []int
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

// evaluated returns the placement as pages get it: its sessions, one a day from
// 1 March 2026, and the evaluator's reading of them.
func evaluated(t *testing.T, p *message.Printer, text string, sessions []taught) view.Stay {
	t.Helper()
	first := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	c := criterion.Case{Criterion: text, TimeZone: "UTC", AsOf: first.AddDate(0, 0, len(sessions))}
	var rows []newel.SessionRow
	names := map[string]string{"ana": "Ana", "ben": "Ben"}
	for i, s := range sessions {
		at := first.AddDate(0, 0, i)
		id := newel.NewID[newel.RecordingID]()
		one := criterion.Session{ID: id.String(), StartedAt: at, EndedAt: at.Add(10 * time.Minute), Kind: criterion.Teaching, By: s.by, Place: s.place}
		for n := range s.of {
			outcome := measure.Incorrect
			if n < s.right {
				outcome = measure.Correct
			}
			one.Trials = append(one.Trials, measure.Trial{Outcome: outcome})
		}
		c.Sessions = append(c.Sessions, one)
		rows = append(rows, newel.SessionRow{
			ID: id, Of: newel.KeptSession{Session: one}, LocalDate: newel.DayOf(at, time.UTC), EndedAt: one.EndedAt, ByName: names[s.by],
		})
	}
	said, err := criterion.Evaluate(c)
	if err != nil {
		t.Fatal(err)
	}
	return stayOf(p, text, nil, said, rows)
}

// TestFindingsAreSaid checks every sentence about gain, closeness and evidence,
// for staff and for families, with the number of sessions that it opens to.
func TestFindingsAreSaid(t *testing.T) {
	t.Parallel()
	p := inEnglish(t)
	stall := join(times(6, 4), times(6, 5), times(6, 5))
	for _, x := range []struct {
		name, criterion string
		sessions        []taught
		flag            criterion.FlagKind // the first one; empty for none
		staff, family   []string           // texts, each with the sessions behind it
	}{
		{
			name: "no gain", criterion: "80% in 3 sessions in a row", sessions: inARow(10, stall...), flag: criterion.Flat,
			staff: []string{
				"18: The mean of the newest 6 of the last 18 sessions was 50%; the mean of the oldest 6 was 40%. That is not more than 10 points better.",
				"5: At the accuracy of the last five sessions, about 1 session in 14 reaches the goal.",
			},
			family: []string{"18: The average of the newest 6 of the last 18 sessions is 50%. The average of the oldest 6 is 40%."},
		},
		{
			name: "a gain just above the limit", criterion: "80% in 3 sessions in a row", sessions: inARow(40, join(times(4, 16), times(4, 18), times(3, 21), times(1, 22))...),
			staff:  []string{"12: The mean of the newest 4 of the last 12 sessions was 53.1%; the mean of the oldest 4 was 40%. That is progress: more than 10 points better."},
			family: []string{"12: The average of the newest 4 of the last 12 sessions is 53.1%. The average of the oldest 4 is 40%."},
		},
		{
			name: "too early", criterion: "80% in 3 sessions in a row", sessions: inARow(10, times(11, 5)...),
		},
		{
			name: "close", criterion: "100% in 3 sessions in a row", sessions: inARow(10, 9, 10, 9, 10, 9, 9, 10, 9, 10, 9, 9, 10, 9, 9), flag: criterion.Close,
			staff: []string{
				"14: The mean of the newest 4 of the last 14 sessions was 92.5%; the mean of the oldest 4 was 95%. That is not more than 10 points better.",
				"8: The last 8 sessions average 90% or more, and a single error is enough to miss the criterion.",
			},
			family: []string{
				"14: The average of the newest 4 of the last 14 sessions is 92.5%. The average of the oldest 4 is 95%.",
				"8: The goal is close. Only one try now and then is not right yet.",
			},
		},
		{
			name: "thin", criterion: "80% in 3 sessions in a row", sessions: inARow(5, 2, 4, 4, 4),
			staff:  []string{"3: 12 of 15 correct. Few trials: this could still be luck. A check in a week will tell."},
			family: []string{"3: 12 of 15 tries were right. That is not many tries, so it could still be luck. A check in a week will tell."},
		},
		{
			name: "fair", criterion: "80% in 3 sessions in a row", sessions: inARow(10, 5, 8, 8, 8),
			staff:  []string{"3: 24 of 30 correct. Over the latest sessions (29 of 40), the true rate is most likely between 57% and 84%."},
			family: []string{"3: 24 of 30 tries were right. In the latest sessions, 29 of 40 were right. With many more tries, that would most likely be between 57% and 84%."},
		},
		{
			name: "thin, of the last four", criterion: "80% in 3 of the last 4 sessions", sessions: inARow(5, 4, 1, 4, 5),
			staff:  []string{"4: 14 of 20 correct. Few trials: this could still be luck. A check in a week will tell."},
			family: []string{"4: 14 of 20 tries were right. That is not many tries, so it could still be luck. A check in a week will tell."},
		},
		{
			name: "good", criterion: "100% in 3 sessions in a row", sessions: inARow(10, 10, 10, 10),
		},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			stay := evaluated(t, p, x.criterion, x.sessions)
			flag := criterion.FlagKind("")
			if len(stay.Said.Flags) > 0 {
				flag = stay.Said.Flags[0].Kind
			}
			if flag != x.flag {
				t.Errorf("raised %q, want %q", flag, x.flag)
			}
			expectFindings(t, "staff", findingsOf(p, stay, shownOn{}), x.staff)
			expectFindings(t, "families", plainFindings(p, stay), x.family)
		})
	}
}

func expectFindings(t *testing.T, reader string, found []view.Finding, want []string) {
	t.Helper()
	var got []string
	for _, f := range found {
		n := 0
		for _, g := range f.Groups {
			for _, s := range g.Sessions {
				n++
				if (s.Href == "") != (reader == "families") || s.Day == "" || s.Value == "" {
					t.Errorf("%s: a session of %s: %+v", reader, f.ID, s)
				}
			}
		}
		got = append(got, fmt.Sprintf("%d: %s", n, f.Text))
		if f.Rule == "" {
			t.Errorf("%s: %s says no rule", reader, f.ID)
		}
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("%s read\n%s\nwant\n%s", reader, strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestSessionAtEstimate checks the words for how often one session reaches the
// goal.
func TestSessionAtEstimate(t *testing.T) {
	t.Parallel()
	p := inEnglish(t)
	for probability, want := range map[float64]string{
		0.0049: "hardly any session reaches", 0.005: "about 1 session in 200 reaches", 0.0715: "about 1 session in 14 reaches",
		0.4: "about 1 session in 3 reaches", 0.6: "about 1 session in 2 reaches", 0.7: "most sessions reach", 0.95: "most sessions reach",
		0.951: "nearly every session reaches",
	} {
		if got := oftenText(p, probability); !strings.Contains(got, want) {
			t.Errorf("%v: %q, want %q", probability, got, want)
		}
	}
}

// TestOnePersonIsTheOnlyOne: that nobody else has taught a step is said only if
// none of its sessions is anyone else's, whichever of them the status is based
// on.
func TestOnePersonIsTheOnlyOne(t *testing.T) {
	t.Parallel()
	p := inEnglish(t)
	sessions := inARow(10, 3, 9, 9, 9) // the last three meet the criterion
	const said = "No one else has taught it yet."
	if got := strings.Join(evidenceOf(p, evaluated(t, p, "80% in 3 sessions in a row", sessions)), " "); !strings.Contains(got, said) {
		t.Errorf("one person: %q", got)
	}
	sessions[0].by = "ben"
	if got := strings.Join(evidenceOf(p, evaluated(t, p, "80% in 3 sessions in a row", sessions)), " "); strings.Contains(got, said) {
		t.Errorf("two people: %q", got)
	}
}

// TestGainedAtItsLimit compares the words about gain with whole numbers, for
// every pair of thirds of up to six sessions with up to 20 trials each: 10
// points more is 10 % of a third's trials.
func TestGainedAtItsLimit(t *testing.T) {
	t.Parallel()
	higher := criterion.Goal{Measure: criterion.Accuracy}
	lower := criterion.Goal{Measure: criterion.Accuracy, Comparison: criterion.AtMost}
	rate, latency := criterion.Goal{Measure: criterion.Rate}, criterion.Goal{Measure: criterion.Latency, Comparison: criterion.AtMost}
	mean := func(n, d int) *float64 {
		v := exact.Frac(int64(n), int64(d)).Float64()
		return &v
	}
	for trials := 4; trials <= 6*20; trials++ {
		for a := range trials + 1 {
			for b := range trials + 1 {
				percents := &criterion.Progress{Oldest: mean(100*a, trials), Newest: mean(100*b, trials)}
				if want := 10*(b-a) > trials; gained(percents, higher) != want {
					t.Fatalf("from %d to %d of %d: want %t", a, b, trials, want)
				}
				if want := 10*(a-b) > trials; gained(percents, lower) != want {
					t.Fatalf("down from %d to %d of %d: want %t", a, b, trials, want)
				}
				shares := &criterion.Progress{Oldest: mean(a, trials), Newest: mean(b, trials)}
				if want := 10*(b-a) > a; gained(shares, rate) != want {
					t.Fatalf("from a rate of %d to %d in %d: want %t", a, b, trials, want)
				}
				if want := 10*(a-b) > a; gained(shares, latency) != want {
					t.Fatalf("from a latency of %d to %d in %d: want %t", a, b, trials, want)
				}
			}
		}
	}
}

// TestGainedWithUnevenSessions compares the words about gain with exact means of
// sessions that have different numbers of trials.
func TestGainedWithUnevenSessions(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(14, 8))
	equal := 0
	for range 50_000 {
		var sums [2]exact.Rat
		// Few different numbers of trials, so that exactly 10 points occur.
		sizes := []int64{1 + r.Int64N(20), 1 + r.Int64N(20), 1 + r.Int64N(20)}
		for third := range sums {
			for range 4 {
				n := sizes[r.IntN(len(sizes))]
				sums[third] = sums[third].Add(exact.Frac(100*r.Int64N(n+1), n))
			}
		}
		oldest, newest := sums[0].Quo(exact.Int(4)), sums[1].Quo(exact.Int(4))
		lead := newest.Sub(oldest)
		if lead.Equal(exact.Int(10)) {
			equal++
		}
		a, b := oldest.Float64(), newest.Float64()
		got := gained(&criterion.Progress{Oldest: &a, Newest: &b}, criterion.Goal{Measure: criterion.Accuracy})
		if want := exact.Int(10).Less(lead); got != want {
			t.Fatalf("from %s to %s: gained %t, want %t", oldest, newest, got, want)
		}
	}
	if equal < 20 {
		t.Errorf("only %d of 50,000 leads are exactly 10 points", equal)
	}
}

// TestPublishedFindingsAtTheirLimits checks which finding goes with a goal just
// below a limit and at it.
func TestPublishedFindingsAtTheirLimits(t *testing.T) {
	t.Parallel()
	p := inEnglish(t)
	for goal, want := range map[string]string{
		"80": "eighty", "89.999999": "eighty", "90": "ninety", "90.000001": "ninety", "99.999999": "ninety", "100": "hundred",
	} {
		c, err := criterion.Parse(goal+"% in 3 sessions in a row", criterion.Vocabulary{})
		if err != nil {
			t.Fatal(err)
		}
		if found := findingsOn(p, c, true); len(found) != 1 || found[0].Key != want {
			t.Errorf("%s%%: %+v, want %s", goal, found, want)
		}
	}
}
