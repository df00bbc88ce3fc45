package recording

import (
	"encoding/json"
	"errors"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// The laws of a join-semilattice make replicas of a growing set agree whatever
// the network does (Shapiro, Preguiça, Baquero, Zawirski: Conflict-free
// Replicated Data Types, 2011; title and date recalled).
func TestMergeLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := genState.Draw(t, "a"), genState.Draw(t, "b"), genState.Draw(t, "c")
		if ab, ba := merge(t, a, b), merge(t, b, a); !ab.Equal(ba) {
			t.Fatal("merge is not commutative")
		}
		if l, r := merge(t, merge(t, a, b), c), merge(t, a, merge(t, b, c)); !l.Equal(r) {
			t.Fatal("merge is not associative")
		}
		if aa := merge(t, a, a); !aa.Equal(a) {
			t.Fatal("merge is not idempotent")
		}
		if got := merge(t, a, State{}); !got.Equal(a) {
			t.Fatal("the empty state changes something")
		}
		if m := merge(t, a, b); !m.Contains(a) || !m.Contains(b) {
			t.Fatal("a merge has lost something")
		}
	})
}

func TestEveryViewIsAFunctionOfTheState(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		docs := genDocuments.Draw(t, "documents")
		a := stateOf(t, docs)
		// Repeat the same deliveries, shuffled and some of them twice.
		again := rapid.Permutation(slices.Concat(docs, docs[:rapid.IntRange(0, len(docs)).Draw(t, "twice")])).Draw(t, "order")
		b := stateOf(t, again)
		if !a.Equal(b) {
			t.Fatal("order or repetition changed the state")
		}
		if diff := cmp.Diff(Apply(a, nil), Apply(b, nil)); diff != "" {
			t.Fatalf("views differ:\n%s", diff)
		}
		if a.Account(false) != b.Account(false) || a.SafeThrough() != b.SafeThrough() {
			t.Fatal("accounts differ")
		}
	})
}

func TestSeveralServersAgree(t *testing.T) {
	t.Parallel()
	// Each device reaches some server process with some of its documents; later
	// the processes' states are merged. A lost document arrives only at the
	// end.
	rapid.Check(t, func(t *rapid.T) {
		docs := genDocuments.Draw(t, "documents")
		var replicas [3]State
		for _, d := range docs {
			r := rapid.IntRange(0, 3).Draw(t, "replica")
			if r < 3 { // otherwise lost in transit
				replicas[r] = merge(t, replicas[r], Of(d))
			}
		}
		var met State
		for _, i := range rapid.Permutation([]int{0, 1, 2}).Draw(t, "meeting") {
			met = merge(t, met, replicas[i])
		}
		for _, d := range docs { // phones send until they hold a receipt
			met = merge(t, met, Of(d))
		}
		if want := stateOf(t, docs); !met.Equal(want) {
			t.Fatal("replicas do not agree in the end")
		}
	})
}

func TestAcknowledgedDataIsInEveryLaterState(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := genDocument.Draw(t, "acknowledged")
		s := merge(t, genState.Draw(t, "before"), Of(d))
		safe := MakeReceipt(s, d.Contract, d.Encode(), time.Unix(0, 0)).SafeThrough
		for _, more := range rapid.SliceOfN(genDocument, 0, 4).Draw(t, "after") {
			s = merge(t, s, Of(more))
		}
		if s.SafeThrough() < safe {
			t.Fatalf("safe through %d was promised, now %d", safe, s.SafeThrough())
		}
		for _, trial := range d.Trials {
			if !accountedFor(s, trial) {
				t.Fatalf("trial %+v neither counts nor is replaced or surplus", trial)
			}
		}
	})
}

// accountedFor reports whether the revision counts, is surplus, or was replaced
// by a later revision of the same trial.
func accountedFor(s State, trial Trial) bool {
	same := func(o Trial) bool { return cmp.Equal(o, trial) }
	return slices.ContainsFunc(s.Trials(), func(o Trial) bool { return same(o) || o.N == trial.N && o.Rev > trial.Rev }) ||
		slices.ContainsFunc(s.Surplus(), func(x Surplus) bool { return x.Trial != nil && same(*x.Trial) })
}

func TestAccountIsExact(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		docs := genDocuments.Draw(t, "documents")
		s := stateOf(t, docs)
		type key struct{ n, rev int }
		sent := map[key]map[string]bool{}
		total := 0
		for _, d := range docs {
			for _, trial := range d.Trials {
				k := key{trial.N, trial.Rev}
				if sent[k] == nil {
					sent[k] = map[string]bool{}
				}
				if !sent[k][canonical(trial)] {
					sent[k][canonical(trial)] = true
					total++
				}
			}
		}
		for _, quarantined := range []bool{false, true} {
			a := s.Account(quarantined)
			for _, tally := range []Tally{a.Trials, a.Fields} {
				if tally.Sent != tally.Accepted+tally.Surplus+tally.Quarantined {
					t.Fatalf("%+v does not add up", tally)
				}
			}
			if a.Trials.Sent != total {
				t.Fatalf("sent %d trial revisions, account has %d", total, a.Trials.Sent)
			}
		}
		a := s.Account(false)
		if inEffect := a.Trials.Accepted - a.Trials.Replaced; inEffect != len(s.Trials()) {
			t.Fatalf("%d trials count, the account says %d", len(s.Trials()), inEffect)
		}
		surplus := 0
		for _, x := range s.Surplus() {
			if x.Trial != nil {
				surplus++
			}
		}
		if surplus != a.Trials.Surplus {
			t.Fatalf("%d surplus trials, the account says %d", surplus, a.Trials.Surplus)
		}
	})
}

// TestAnHonestPhone: one phone taps, corrects, undoes and closes. Its snapshots
// may arrive at any time, repeatedly or never, except that the last one
// arrives. What counts is exactly what the phone shows.
func TestAnHonestPhone(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		snapshots := phone(t)
		final := snapshots[len(snapshots)-1]
		var sent []Document
		for _, d := range snapshots {
			for range rapid.IntRange(0, 2).Draw(t, "times") {
				sent = append(sent, d)
			}
		}
		s := stateOf(t, rapid.Permutation(append(sent, final)).Draw(t, "arrivals"))
		v := Apply(s, nil)
		if diff := cmp.Diff(final.Trials, v.Trials); diff != "" {
			t.Fatalf("trials differ from the phone's (-phone +server):\n%s", diff)
		}
		if diff := cmp.Diff(final.Header, v.Header); diff != "" {
			t.Fatalf("header differs from the phone's (-phone +server):\n%s", diff)
		}
		if len(v.Surplus) > 0 || !v.Closed {
			t.Fatalf("an honest phone left surplus %v, closed %v", v.Surplus, v.Closed)
		}
		if s.SafeThrough() != final.Closing.Last {
			t.Fatalf("safe through %d of %d", s.SafeThrough(), final.Closing.Last)
		}
	})
}

// phone returns the documents that one phone could send in one session.
func phone(t *rapid.T) []Document {
	d := Document{
		Contract: Contract, ID: testID, Origin: genOrigin.Draw(t, "origin"),
		Header: Header{By: Rev(1, testPeople[0]), Kind: Rev(1, Teaching), How: Rev(1, Live)},
		Trials: []Trial{},
	}
	var out []Document
	snapshot := func() {
		c := d
		c.Trials = slices.Clone(d.Trials)
		out = append(out, c)
	}
	for range rapid.IntRange(0, 12).Draw(t, "taps") {
		switch what := rapid.IntRange(0, 3).Draw(t, "tap"); {
		case what == 0:
			d.Header.Place = Rev(d.Header.Place.Rev+1, rapid.SampledFrom([]string{"home", "shop"}).Draw(t, "place"))
		case what == 1 && len(d.Trials) > 0:
			i := rapid.IntRange(0, len(d.Trials)-1).Draw(t, "which")
			next := genTrial(i+1).Draw(t, "correction")
			next.Rev = d.Trials[i].Rev + 1
			d.Trials[i] = next
		default:
			next := genTrial(len(d.Trials)+1).Draw(t, "trial")
			next.Rev = 1
			d.Trials = append(d.Trials, next)
		}
		snapshot()
	}
	d.Closing = &Closing{Last: len(d.Trials), EndMS: 60_000, EndedAt: "2026-03-09T18:31:12+08:00"}
	snapshot()
	return out
}

func TestManyDeliveriesOneEffect(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := genDocument.Draw(t, "document")
		once := Of(d)
		many := once
		for range rapid.IntRange(1, 5).Draw(t, "deliveries") {
			again, err := Decode(d.Encode())
			if err != nil {
				t.Fatal(err)
			}
			many = merge(t, many, Of(again))
		}
		if !many.Equal(once) {
			t.Fatal("redelivery had an effect")
		}
		at := time.Unix(1, 0)
		if MakeReceipt(once, d.Contract, d.Encode(), at) != MakeReceipt(many, d.Contract, d.Encode(), at) {
			t.Fatal("receipts differ")
		}
	})
}

func TestStoredStateRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := genState.Draw(t, "state")
		kept, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		// A jsonb column reorders, respaces and re-escapes. Going through a map
		// with HTML escapes and indentation simulates that.
		var loose any
		if err := json.Unmarshal(kept, &loose); err != nil {
			t.Fatal(err)
		}
		respelt, err := json.MarshalIndent(loose, "", "  ")
		if err != nil {
			t.Fatal(err)
		}
		var back State
		if err := json.Unmarshal(respelt, &back); err != nil {
			t.Fatal(err)
		}
		if !back.Equal(s) {
			t.Fatalf("stored and read back:\n%s", cmp.Diff(s, back))
		}
	})
}

func TestDamagedStateIsAnError(t *testing.T) {
	t.Parallel()
	good, err := json.Marshal(Of(Document{
		ID: testID, Contract: Contract, Origin: Origin{
			Placement: testPlacement, Author: testAuthor, Kit: Kit{"k", testHash}, Device: "d", StartedAt: "2026-03-09T18:30:12Z",
		},
		Header: Header{By: Rev(1, testPeople[0]), Kind: Rev(1, Teaching), How: Rev(1, Live)},
	}))
	if err != nil {
		t.Fatal(err)
	}
	var s State
	if err := json.Unmarshal(good, &s); err != nil {
		t.Fatal(err)
	}
	for _, damaged := range []string{
		`{}`, `[]`,
		`{"id":"0195a0c4-7b1e-7c3a-9d52-3f6f0a1b2c3d","origins":[],"facts":[{"field":"mood","rev":1}],"closings":[]}`,
		`{"id":"0195a0c4-7b1e-7c3a-9d52-3f6f0a1b2c3d","origins":[],"facts":[{"n":1,"rev":1,"value":{"at_ms":1}}],"closings":[]}`,
		`{"id":"0195a0c4-7b1e-7c3a-9d52-3f6f0a1b2c3d","origins":[{}],"facts":[],"closings":[]}`,
		`{"id":"0195a0c4-7b1e-7c3a-9d52-3f6f0a1b2c3d","origins":[],"facts":[],"closings":[],"extra":1}`,
	} {
		if err := json.Unmarshal([]byte(damaged), &s); err == nil {
			t.Errorf("%s was accepted", damaged)
		}
	}
}

func TestMergeRefusesADifferentRecording(t *testing.T) {
	t.Parallel()
	a, b := State{id: testID}, State{id: mustRecordingID("0195a0c4-7b1e-7c3a-9d52-3f6f0a1b2c3e")}
	if _, err := Merge(a, b); !errors.Is(err, ErrOther) {
		t.Errorf("error = %v, want ErrOther", err)
	}
}
