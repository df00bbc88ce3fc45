package sequence

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"newel/internal/strict"
)

var update = flag.Bool("update", false, "rewrite the examples that both languages are checked against")

// example is a question in JSON form and its order: names with positions
// appended, or the field that cannot be satisfied.
type example struct {
	Question json.RawMessage `json:"question"`
	Order    []string        `json:"order,omitempty"`
	Error    string          `json:"error,omitempty"`
}

const exampleCount = 700

// examples generates questions, a few of which cannot be satisfied. The
// generator is seeded.
func examples(t *testing.T) []byte {
	t.Helper()
	r := rand.New(rand.NewPCG(7, 11))
	var out bytes.Buffer
	for i := range exampleCount {
		q := map[string]any{"seed": strconv.FormatUint(r.Uint64()>>(r.IntN(3)*20), 10), "trials": 1 + r.IntN(30)}
		q["targets"] = names("t", 1+r.IntN(6))
		q["rule"] = Rotation
		switch r.IntN(6) {
		case 0:
			q["rule"], q["targets"] = Massed, names("t", 1)
		case 1:
			q["rule"], q["block"] = Blocked, 1+r.IntN(5)
		case 2, 3:
			q["known"], q["known_share"] = names("k", 1+r.IntN(4)), float64(r.IntN(10001))/100
		}
		if r.IntN(2) == 0 {
			q["positions"] = 2 + r.IntN(4)
		}
		if r.IntN(2) == 0 {
			q["max_same"] = 1 + r.IntN(4)
		}
		if i%100 == 50 {
			q["trials"] = 400 // in rounds
		}
		question, err := json.Marshal(q)
		if err != nil {
			t.Fatal(err)
		}
		line, err := json.Marshal(answered(t, question))
		if err != nil {
			t.Fatal(err)
		}
		out.Write(append(line, '\n'))
	}
	return out.Bytes()
}

func answered(t *testing.T, question []byte) example {
	t.Helper()
	e := example{Question: question}
	answer, err := Compute(question)
	if wrong := (*strict.Error)(nil); errors.As(err, &wrong) {
		e.Error = wrong.Path
		return e
	}
	for _, trial := range answer.(Order).Trials {
		s := trial.Target
		if trial.Position != nil {
			s += fmt.Sprint(":", *trial.Position)
		}
		e.Order = append(e.Order, s)
	}
	return e
}

// TestExamplesDrift compares the orders with the file that also tests the
// browser's code (web/e2e/sequence.spec.ts).
func TestExamplesDrift(t *testing.T) {
	t.Parallel()
	got := examples(t)
	path := filepath.Join("testdata", "orders.jsonl")
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("orders changed. Every phone computes its own, so phones and server will differ until all phones are updated. If this is intended, run go test ./internal/compute/sequence -run Drift -update")
	}
}

func FuzzCompute(f *testing.F) {
	f.Add([]byte(`{"targets": ["a", "b"], "trials": 6, "rule": "rotation", "known": ["c"], "known_share": 33.33, "positions": 3, "max_same": 2, "seed": "18446744073709551615"}`))
	f.Add([]byte(`{"targets": ["a"], "trials": 3, "rule": "massed", "positions": 2, "max_same": 1, "seed": 0}`))
	f.Add([]byte(`{"targets": ["a", "b"], "trials": 5, "rule": "blocked", "block": 2, "seed": 1}`))
	f.Fuzz(func(t *testing.T, document []byte) {
		q, err := Decode(document)
		if err != nil || q.Trials > 60 {
			return
		}
		order, err := Make(q)
		if wrong := (*strict.Error)(nil); err != nil && !errors.As(err, &wrong) {
			t.Fatalf("%#v", err)
		}
		if err == nil {
			if rule := broken(q, order); rule != "" {
				t.Fatalf("breaks %s", rule)
			}
		}
	})
}

func TestDecode(t *testing.T) {
	t.Parallel()
	const good = `{"targets": ["a", "b"], "trials": 6, "rule": "rotation", "known": ["c"], "known_share": 33.3, "seed": 7}`
	for share, want := range map[string]int{"33.3": 3330, "0": 0, "100": wholeShare, "0.01": 1} {
		q, err := Decode([]byte(strings.Replace(good, "33.3", share, 1)))
		if err != nil || q.KnownShare != want {
			t.Errorf("a share of %s percent: %d %v", share, q.KnownShare, err)
		}
	}
	for change, path := range map[[2]string]string{
		{`33.3`, `33.333`}:            "known_share",
		{`33.3`, `100.01`}:            "known_share",
		{`33.3`, `-0.01`}:             "known_share",
		{`"known_share": 33.3, `, ``}: "known_share",
		{`7`, `-7`}:                   "seed",
		{`7`, `7.5`}:                  "seed",
		{`7`, `18446744073709551616`}: "seed",
		{`7`, `"+7"`}:                 "seed",
		{`7`, `true`}:                 "seed",
		{`, "seed": 7`, ``}:           "seed",
		{`7`, `7, "block": 0`}:        "block",
		{`7`, `7, "positions": 1`}:    "positions",
		{`7`, `7, "max_same": 0`}:     "max_same",
		{`7`, `7, "shuffle": 1`}:      "shuffle",
		{`6`, `6.5`}:                  "trials",
	} {
		_, err := Decode([]byte(strings.Replace(good, change[0], change[1], 1)))
		if wrong := (*strict.Error)(nil); !errors.As(err, &wrong) || wrong.Path != path {
			t.Errorf("%v: %v", change, err)
		}
	}
}
