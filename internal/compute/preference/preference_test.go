package preference

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"newel/internal/compute/answer"
	"newel/internal/strict"
)

var things = []string{"A", "B", "C", "D", "E"}

// TestPairedProperties checks that presentations sum to twice the trials,
// choices to the trials with a choice, and that ranks form a ranking.
func TestPairedProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var choices []Choice
		answered := 0
		for range rapid.IntRange(0, 20).Draw(t, "trials") {
			two := rapid.Permutation(things).Draw(t, "pair")[:2]
			chosen := rapid.SampledFrom([]string{"", two[0], two[1]}).Draw(t, "chosen")
			choices = append(choices, Choice{[2]string(two), chosen})
			if chosen != "" {
				answered++
			}
		}
		r := Paired(things, choices)
		chosen, presented := 0, 0
		for _, item := range r.Items {
			chosen += *item.Chosen
			presented += *item.Presented
		}
		if chosen != answered || presented != 2*len(choices) {
			t.Fatalf("%d chosen of %d presented", chosen, presented)
		}
		isRanking(t, r)
	})
}

func isRanking(t *rapid.T, r Ranking) {
	var names []string
	ranks, ranked := 0.0, 0
	for i, item := range r.Items {
		names = append(names, item.Item)
		if (item.Rank == nil) != (item.Percent == nil) {
			t.Fatalf("%+v has a rank or a percentage only", item)
		}
		if item.Rank == nil {
			continue
		}
		if ranked != i {
			t.Fatal("an item without a rank comes before one with a rank")
		}
		ranks += *item.Rank
		ranked++
		if i > 0 {
			before := r.Items[i-1]
			if *before.Percent < *item.Percent || (*before.Percent == *item.Percent) != (*before.Rank == *item.Rank) {
				t.Fatalf("%+v before %+v", before, item)
			}
		}
	}
	if ranks != float64(ranked*(ranked+1))/2 {
		t.Fatalf("ranks sum to %v for %d", ranks, ranked)
	}
	slices.Sort(names)
	if !slices.Equal(names, things) {
		t.Fatalf("items %v", names)
	}
}

// TestMultipleProperties checks that a session of k choices presents n + (n−1)
// + … items, and that the order of sessions does not matter.
func TestMultipleProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var sessions [][]string
		want := 0
		for range rapid.IntRange(0, 6).Draw(t, "sessions") {
			picks := rapid.Permutation(things).Draw(t, "picks")[:rapid.IntRange(0, len(things)).Draw(t, "n")]
			if len(picks) < len(things) && rapid.Bool().Draw(t, "stopped") {
				picks = append(slices.Clone(picks), "")
			}
			for i := range picks {
				want += len(things) - i
			}
			sessions = append(sessions, picks)
		}
		r := Multiple(things, sessions)
		presented := 0
		for _, item := range r.Items {
			presented += *item.Presented
		}
		if presented != want {
			t.Fatalf("%d presented, want %d", presented, want)
		}
		isRanking(t, r)
		other := Multiple(things, rapid.Permutation(sessions).Draw(t, "order"))
		one, _ := json.Marshal(r)
		two, _ := json.Marshal(other)
		if string(one) != string(two) {
			t.Fatalf("%s and %s", one, two)
		}
	})
}

func TestEdges(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		`{"kind": "paired", "items": [], "choices": []}`:                                         `{"items":[]}`,
		`{"kind": "paired", "items": ["A"], "choices": []}`:                                      `{"items":[{"item":"A","chosen":0,"presented":0,"percent":null,"rank":null}]}`,
		`{"items": ["A", "B"], "choices": [{"of": ["A", "B"], "chosen": ""}], "kind": "paired"}`: `{"items":[{"item":"A","chosen":0,"presented":1,"percent":0,"rank":1.5},{"item":"B","chosen":0,"presented":1,"percent":0,"rank":1.5}]}`,
		`{"kind": "multiple", "items": ["A"], "sessions": [[""]]}`:                               `{"items":[{"item":"A","chosen":0,"presented":1,"percent":0,"rank":1}]}`,
		`{"kind": "multiple", "items": ["A"], "sessions": [[]]}`:                                 `{"items":[{"item":"A","chosen":0,"presented":0,"percent":null,"rank":null}]}`,
		`{"kind": "free", "observed_s": 0, "engaged_s": {"A": 0}}`:                               `{"items":[{"item":"A","percent":null,"rank":null}]}`,
		`{"kind": "free", "observed_s": 10, "engaged_s": {}}`:                                    `{"items":[]}`,
		`{"kind": "free", "observed_s": 10, "engaged_s": {"b": 2.5, "a": 2.5, "c": 10}}`:         `{"items":[{"item":"c","percent":100,"rank":1},{"item":"b","percent":25,"rank":2.5},{"item":"a","percent":25,"rank":2.5}]}`,
	} {
		answer, err := Compute([]byte(in))
		if b, _ := json.Marshal(answer); err != nil || string(b) != want {
			t.Errorf("%s: %s %v, want %s", in, b, err, want)
		}
	}
}

func TestErrors(t *testing.T) {
	t.Parallel()
	for in, path := range map[string]string{
		`{"items": ["A"]}`:                                                                        "kind",
		`{"kind": "guess", "items": ["A"]}`:                                                       "kind",
		`{"kind": "paired", "items": ["A", "A"], "choices": []}`:                                  "items[1]",
		`{"kind": "paired", "items": [""], "choices": []}`:                                        "items[0]",
		`{"kind": "paired", "items": ["A", "B"], "sessions": []}`:                                 "sessions",
		`{"kind": "paired", "items": ["A", "B"]}`:                                                 "choices",
		`{"kind": "paired", "items": ["A", "B"], "choices": [{"of": ["A"], "chosen": "A"}]}`:      "choices[0].of",
		`{"kind": "paired", "items": ["A", "B"], "choices": [{"of": ["A", "A"], "chosen": "A"}]}`: "choices[0].of[1]",
		`{"kind": "paired", "items": ["A", "B"], "choices": [{"of": ["A", "C"], "chosen": "A"}]}`: "choices[0].of[1]",
		`{"kind": "paired", "items": ["A", "B"], "choices": [{"of": ["A", "B"], "chosen": "C"}]}`: "choices[0].chosen",
		`{"kind": "paired", "items": ["A", "B"], "choices": [{"of": ["A", "B"]}]}`:                "choices[0].chosen",
		`{"kind": "multiple", "items": ["A", "B"], "sessions": [["A", "A"]]}`:                     "sessions[0][1]",
		`{"kind": "multiple", "items": ["A", "B"], "sessions": [["C"]]}`:                          "sessions[0][0]",
		`{"kind": "multiple", "items": ["A", "B"], "sessions": [["", "A"]]}`:                      "sessions[0][1]",
		`{"kind": "multiple", "items": ["A", "B"], "sessions": [["A", "B", ""]]}`:                 "sessions[0][2]",
		`{"kind": "free", "observed_s": 10, "engaged_s": {"A": 11}}`:                              "engaged_s.A",
		`{"kind": "free", "observed_s": 10, "engaged_s": {"A": -1}}`:                              "engaged_s.A",
		`{"kind": "free", "observed_s": 10, "engaged_s": {"A": 1, "A": 2}}`:                       "engaged_s.A",
		`{"kind": "free", "observed_s": -10, "engaged_s": {}}`:                                    "observed_s",
		`{"kind": "free", "observed_s": 10}`:                                                      "engaged_s",
	} {
		_, err := Compute([]byte(in))
		var wrong *strict.Error
		if !errors.As(err, &wrong) || wrong.Path != path {
			t.Errorf("%s: %v, want an error about %q", in, err, path)
		}
	}
}

// TestMultipleByHand scores two sessions with three items: the first until all
// are chosen, the second until the child stops.
func TestMultipleByHand(t *testing.T) {
	t.Parallel()
	r := Multiple([]string{"A", "B", "C"}, [][]string{{"B", "A", "C"}, {"B", ""}})
	want := map[string][2]int{"A": {1, 4}, "B": {2, 2}, "C": {1, 5}}
	var order []string
	for _, item := range r.Items {
		order = append(order, item.Item)
		if got := [2]int{*item.Chosen, *item.Presented}; got != want[item.Item] {
			t.Errorf("%s: %v, want %v", item.Item, got, want[item.Item])
		}
	}
	if !slices.Equal(order, []string{"B", "A", "C"}) {
		t.Errorf("order %v", order)
	}
}

// TestLimits checks lists of as many entries as allowed, and of one more.
func TestLimits(t *testing.T) {
	t.Parallel()
	list := func(n int, item func(i int) string) string {
		parts := make([]string, n)
		for i := range parts {
			parts[i] = item(i)
		}
		return strings.Join(parts, ",")
	}
	name := func(i int) string { return fmt.Sprintf(`"%d"`, i) }
	engaged := func(i int) string { return fmt.Sprintf(`"%d": 1`, i) }
	session := func(int) string { return `["A"]` }
	choice := func(int) string { return `{"of": ["A", "B"], "chosen": "A"}` }
	for path, c := range map[string]struct {
		document string
		most     int
		item     func(i int) string
	}{
		"items":     {`{"kind": "paired", "items": [%s], "choices": []}`, maxItems, name},
		"engaged_s": {`{"kind": "free", "observed_s": 1, "engaged_s": {%s}}`, maxItems, engaged},
		"sessions":  {`{"kind": "multiple", "items": ["A"], "sessions": [%s]}`, maxSessions, session},
		"choices":   {`{"kind": "paired", "items": ["A", "B"], "choices": [%s]}`, maxChoices, choice},
	} {
		if _, err := Compute(fmt.Appendf(nil, c.document, list(c.most, c.item))); err != nil {
			t.Errorf("%d %s: %v", c.most, path, err)
		}
		_, err := Compute(fmt.Appendf(nil, c.document, list(c.most+1, c.item)))
		var wrong *strict.Error
		if !errors.As(err, &wrong) || wrong.Path != path {
			t.Errorf("%d %s: %v", c.most+1, path, err)
		}
	}
}

func FuzzCompute(f *testing.F) {
	f.Add([]byte(`{"kind": "paired", "items": ["A", "B"], "choices": [{"of": ["A", "B"], "chosen": ""}]}`))
	f.Add([]byte(`{"kind": "multiple", "items": ["A", "B"], "sessions": [["B", ""]]}`))
	f.Add([]byte(`{"kind": "free", "observed_s": 10, "engaged_s": {"A": 1.5}}`))
	f.Fuzz(func(t *testing.T, document []byte) {
		var out strings.Builder
		err := answer.One(strings.NewReader(string(document)), &out, Compute)
		var wrong *strict.Error
		if err != nil && !errors.As(err, &wrong) {
			t.Fatalf("%#v", err)
		}
		if err == nil && !json.Valid([]byte(out.String())) {
			t.Fatal(out.String())
		}
	})
}
