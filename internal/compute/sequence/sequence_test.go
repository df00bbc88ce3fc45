package sequence

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"newel/internal/strict"
)

func mustMake(t interface{ Fatalf(string, ...any) }, q Question) []Trial {
	trials, err := Make(q)
	if err != nil {
		t.Fatalf("%+v: %v", q, err)
	}
	return trials
}

func names(prefix string, n int) []string {
	var out []string
	for i := range n {
		out = append(out, fmt.Sprint(prefix, i+1))
	}
	return out
}

// questions generates satisfiable questions.
func questions() *rapid.Generator[Question] {
	return rapid.Custom(func(t *rapid.T) Question {
		q := Question{
			Targets: names("t", rapid.IntRange(2, 8).Draw(t, "targets")),
			Trials:  rapid.IntRange(1, 60).Draw(t, "trials"),
			Rule:    rapid.SampledFrom([]Rule{Massed, Blocked, Rotation, Rotation, Rotation}).Draw(t, "rule"),
			MaxSame: rapid.IntRange(0, 4).Draw(t, "max same"),
			Seed:    rapid.Uint64().Draw(t, "seed"),
		}
		if rapid.Bool().Draw(t, "placed") {
			q.Positions = rapid.IntRange(2, 5).Draw(t, "positions")
			if q.Positions == 2 && q.MaxSame == 1 {
				q.MaxSame = 2
			}
		}
		switch q.Rule {
		case Massed:
			q.Targets = q.Targets[:1]
		case Blocked:
			q.Block = rapid.IntRange(1, 6).Draw(t, "block")
		case Rotation:
			if rapid.Bool().Draw(t, "interspersed") {
				q.Known = names("k", rapid.IntRange(2, 5).Draw(t, "known"))
				q.KnownShare = rapid.IntRange(0, wholeShare).Draw(t, "share")
			}
		}
		return q
	})
}

// even reports whether the counts of all names differ by at most one.
func even(counts map[string]int, of []string) bool {
	least, most := math.MaxInt, 0
	for _, name := range of {
		least, most = min(least, counts[name]), max(most, counts[name])
	}
	return len(of) == 0 || most-least <= 1
}

func longestRun[T comparable](list []T) (longest int) {
	run := 0
	for i, v := range list {
		if i > 0 && v == list[i-1] {
			run++
		} else {
			run = 1
		}
		longest = max(longest, run)
	}
	return longest
}

// broken returns the rule that an order breaks; empty for none.
func broken(q Question, order []Trial) string {
	if q.MaxSame == 0 {
		q.MaxSame = DefaultMaxSame
	}
	if len(order) != q.Trials {
		return "the number of trials"
	}
	counts, positions := map[string]int{}, map[string]int{}
	pairs := map[string]map[string]int{}
	var targets []string
	var at []int
	known := 0
	for _, trial := range order {
		targets = append(targets, trial.Target)
		counts[trial.Target]++
		if slices.Contains(q.Known, trial.Target) {
			known++
		}
		if (trial.Position == nil) != (q.Positions == 0) {
			return "positions there or not"
		}
		if trial.Position != nil {
			if *trial.Position < 1 || *trial.Position > q.Positions {
				return "the range of positions"
			}
			p := fmt.Sprint(*trial.Position)
			at = append(at, *trial.Position)
			positions[p]++
			if pairs[trial.Target] == nil {
				pairs[trial.Target] = map[string]int{}
			}
			pairs[trial.Target][p]++
		}
	}
	var places []string
	for p := range q.Positions {
		places = append(places, fmt.Sprint(p+1))
	}
	switch {
	case q.Rule != Blocked && (!even(counts, q.Targets) || !even(counts, q.Known)):
		return "targets equally often"
	case q.Rule == Rotation && longestRun(targets) > q.MaxSame:
		return "a target too often running"
	case known != int(math.Floor(float64(q.KnownShare)*float64(q.Trials)/wholeShare+0.5)):
		return "the share of known targets"
	case !even(positions, places):
		return "positions equally often"
	case longestRun(at) > q.MaxSame:
		return "a position too often running"
	}
	for _, own := range pairs {
		if !even(own, places) {
			return "a position tied to a target"
		}
	}
	if q.Rule == Rotation && known > 0 && !gapsEven(q, targets) {
		return "gaps between known targets"
	}
	return ""
}

// gapsEven reports whether gaps between known trials differ by at most one.
func gapsEven(q Question, targets []string) bool {
	last, least, most := -1, math.MaxInt, 0
	for i, name := range targets {
		if !slices.Contains(q.Known, name) {
			continue
		}
		if last >= 0 {
			least, most = min(least, i-last), max(most, i-last)
		}
		last = i
	}
	return most == 0 || most-least <= 1
}

func TestEveryOrderKeepsTheRules(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		q := questions().Draw(t, "question")
		order := mustMake(t, q)
		if rule := broken(q, order); rule != "" {
			t.Fatalf("%+v breaks %s: %v", q, rule, order)
		}
		if again := mustMake(t, q); fmt.Sprint(targetsOf(again)) != fmt.Sprint(targetsOf(order)) {
			t.Fatalf("%+v: a different order the second time", q)
		}
	})
}

func targetsOf(order []Trial) (out []string) {
	for _, trial := range order {
		s := trial.Target
		if trial.Position != nil {
			s += fmt.Sprint(*trial.Position)
		}
		out = append(out, s)
	}
	return out
}

// TestBlocked checks blocked targets and a massed one.
func TestBlocked(t *testing.T) {
	t.Parallel()
	order := mustMake(t, Question{Targets: []string{"a", "b"}, Trials: 7, Rule: Blocked, Block: 2})
	if got := strings.Join(targetsOf(order), ""); got != "aabbaab" {
		t.Error(got)
	}
	order = mustMake(t, Question{Targets: []string{"a"}, Trials: 5, Rule: Massed})
	if got := strings.Join(targetsOf(order), ""); got != "aaaaa" {
		t.Error(got)
	}
}

// TestEvenlyDrawn checks that every valid order occurs, about equally often: χ²
// stays below roughly its 99.99 % point. Seeds are fixed.
func TestEvenlyDrawn(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		q      Question
		orders int
	}{
		"two targets of five": {Question{Targets: names("t", 2), Trials: 10, Rule: Rotation}, 84},
		"never twice":         {Question{Targets: names("t", 3), Trials: 9, Rule: Rotation, MaxSame: 1}, 174},
		"three of two":        {Question{Targets: names("t", 3), Trials: 6, Rule: Rotation}, 90},
		"one over":            {Question{Targets: names("t", 2), Trials: 5, Rule: Rotation}, 14},
		"places, massed":      {Question{Targets: names("t", 1), Trials: 8, Rule: Massed, Positions: 2}, 34},
		"places, three":       {Question{Targets: names("t", 1), Trials: 6, Rule: Massed, Positions: 3}, 90},
		"both":                {Question{Targets: names("t", 2), Trials: 4, Rule: Rotation, Positions: 2}, 24},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			draws := 60 * c.orders
			seen := map[string]int{}
			for seed := range draws {
				c.q.Seed = uint64(seed)
				seen[strings.Join(targetsOf(mustMake(t, c.q)), " ")]++
			}
			if len(seen) != c.orders {
				t.Fatalf("%d orders, want %d", len(seen), c.orders)
			}
			chi := 0.0
			for _, n := range seen {
				d := float64(n) - 60
				chi += d * d / 60
			}
			df := float64(c.orders - 1)
			if limit := df + 3.7*math.Sqrt(2*df) + 9; chi > limit {
				t.Errorf("χ² %.1f of %d orders, limit %.1f", chi, c.orders, limit)
			}
		})
	}
}

func TestUnsatisfiable(t *testing.T) {
	t.Parallel()
	good := Question{Targets: []string{"a", "b"}, Trials: 8, Rule: Rotation}
	for name, c := range map[string]struct {
		change func(q *Question)
		path   string
	}{
		"one target rotated":  {func(q *Question) { q.Targets = []string{"a"} }, "targets"},
		"one known, too many": {func(q *Question) { q.Known, q.KnownShare = []string{"k"}, 9000 }, "known"},
		"tied":                {func(q *Question) { q.Positions, q.MaxSame = 2, 1 }, "max_same"},
		"no targets":          {func(q *Question) { q.Targets = nil }, "targets"},
		"empty":               {func(q *Question) { q.Targets = []string{"a", " "} }, "targets[1]"},
		"twice":               {func(q *Question) { q.Targets = []string{"a", "a"} }, "targets[1]"},
		"known and taught":    {func(q *Question) { q.Known = []string{"a"} }, "known[0]"},
		"massed, two":         {func(q *Question) { q.Rule = Massed }, "targets"},
		"no block":            {func(q *Question) { q.Rule = Blocked }, "block"},
		"block of a rotation": {func(q *Question) { q.Block = 2 }, "block"},
		"known in massed":     {func(q *Question) { q.Rule, q.Targets, q.Known = Massed, []string{"a"}, []string{"k"} }, "known"},
		"share of nothing":    {func(q *Question) { q.KnownShare = 10 }, "known"},
		"share":               {func(q *Question) { q.Known, q.KnownShare = []string{"k"}, wholeShare+1 }, "known_share"},
		"no rule":             {func(q *Question) { q.Rule = "" }, "rule"},
		"no trials":           {func(q *Question) { q.Trials = 0 }, "trials"},
		"a thousand and one":  {func(q *Question) { q.Trials = 1001 }, "trials"},
		"one position":        {func(q *Question) { q.Positions = 1 }, "positions"},
		"21 positions":        {func(q *Question) { q.Positions = 21 }, "positions"},
		"less than no share":  {func(q *Question) { q.Known, q.KnownShare = []string{"k"}, -1 }, "known_share"},
		"too many known":      {func(q *Question) { q.Known = names("k", 51) }, "known"},
		"never":               {func(q *Question) { q.MaxSame = -1 }, "max_same"},
		"too many targets":    {func(q *Question) { q.Targets = names("t", 51) }, "targets"},
	} {
		q := good
		c.change(&q)
		_, err := Make(q)
		var wrong *strict.Error
		if !errors.As(err, &wrong) || wrong.Path != c.path {
			t.Errorf("%s: %v", name, err)
		}
	}
	mustMake(t, good)
}

// TestLargestRound compares with the definition: the most trials per target for
// which the states (combinations of what is left, times what is left of the last
// target, times its run) are at most maxStates, but one even beyond them.
func TestLargestRound(t *testing.T) {
	t.Parallel()
	for targets := 2; targets <= 50; targets++ {
		for most := 1; most <= 12; most++ {
			want, ways := 1, targets+1
			for n := 2; n <= 100; n++ {
				ways = ways * (targets + n) / n
				if ways*(n+1)*min(most, n) > maxStates {
					break
				}
				want = n
			}
			for _, each := range []int{1, want, 100} {
				if got := largestRound(targets, each, most); got != min(want, each) {
					t.Errorf("%d targets of %d, at most %d running: %d, want %d", targets, each, most, got, min(want, each))
				}
			}
		}
	}
}

// TestTablesAreKept checks that a round met before has its table, and that no
// more than maxTables are kept.
func TestTablesAreKept(t *testing.T) {
	t.Parallel()
	known := tables{}
	for i := range 3 * maxTables {
		round := fmt.Sprint(i)
		known.of(round)["state"] = float64(i)
		if got := known.of(round)["state"]; got != float64(i) || len(known) > maxTables {
			t.Errorf("round %d: %v, %d tables", i, got, len(known))
		}
		if i == maxTables-1 && len(known) != maxTables {
			t.Errorf("%d tables of %d are kept", len(known), maxTables)
		}
	}
}

// TestBelowIsUniform uses a size of ⅜ of the generator's range: without
// rejection, three quarters instead of two thirds would be below ¼ of the range.
func TestBelowIsUniform(t *testing.T) {
	t.Parallel()
	r, low := newRandom(1), 0
	for range 6000 {
		if r.below(3<<29) < 1<<30 {
			low++
		}
	}
	if low < 3850 || low > 4150 {
		t.Errorf("%d of 6000 in the lowest two thirds", low)
	}
}

// TestLargest checks that questions at the limits are answered.
func TestLargest(t *testing.T) {
	t.Parallel()
	for _, q := range []Question{
		{Targets: names("t", 50), Trials: 1000, Rule: Rotation, Positions: 20, MaxSame: 1},
		{Targets: names("t", 2), Trials: 1000, Rule: Rotation, Positions: 2},
		{Targets: names("t", 2), Trials: 1000, Rule: Rotation, Positions: 2, MaxSame: 1000},
		{Targets: names("t", 10), Trials: 999, Rule: Rotation, Positions: 3, Known: names("k", 7), KnownShare: 3333},
		{Targets: names("t", 30), Trials: 299, Rule: Rotation, Positions: 3, MaxSame: 1},
	} {
		if rule := broken(q, mustMake(t, q)); rule != "" {
			t.Errorf("%d targets: breaks %s", len(q.Targets), rule)
		}
	}
}

func BenchmarkMake(b *testing.B) {
	for name, q := range map[string]Question{
		"10 trials, 3 targets, 3 places":     {Targets: names("t", 3), Trials: 10, Rule: Rotation, Positions: 3},
		"40 trials, 8 targets, 3 places":     {Targets: names("t", 8), Trials: 40, Rule: Rotation, Positions: 3},
		"1000 trials, 50 targets, 20 places": {Targets: names("t", 50), Trials: 1000, Rule: Rotation, Positions: 20},
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				q.Seed++
				mustMake(b, q)
			}
		})
	}
}

// TestCountsOfOrders compares the number of valid target orders with exhaustive
// enumeration (computed): these counts are the weights that make a rotation's
// draw uniform.
func TestCountsOfOrders(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		targets, each int
		orders        []float64 // at most 1, 2, 3 … times in a row; the last: any
	}{
		{2, 3, []float64{2, 14, 20}},
		{2, 4, []float64{2, 34, 62, 70}},
		{2, 5, []float64{2, 84, 194, 242, 252}},
		{2, 6, []float64{2, 208, 616, 840, -1, 924}},
		{2, 8, []float64{2, 1296, 6344, 10360, -1, -1, -1, 12870}},
		{2, 10, []float64{2, 8196, 66486, 130544, -1, -1, -1, -1, -1, 184756}},
		{3, 3, []float64{174, 1314, 1680}},
		{3, 4, []float64{1092, 21084, 32844}},
		{3, 6, []float64{48852, 6128208, 14199660}},
	} {
		for i, want := range c.orders {
			many := make([]int, c.each+1)
			many[c.each] = c.targets
			a := &arrangement{most: i + 1, starts: make([]bool, c.targets*c.each+1), last: -1, many: many, table: map[string]float64{}}
			if got := a.ways(0, -1, 0); want >= 0 && got != want {
				t.Errorf("%d targets × %d, at most %d running: %v orders, want %v", c.targets, c.each, i+1, got, want)
			}
		}
	}
}
