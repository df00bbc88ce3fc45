package recording

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/measure"
	"newel/internal/newel"
)

func TestUndoRestoresTheEarlierView(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := genState.Draw(t, "state")
		all := genAmendments(t, s, 6)
		last := Amendment{ID: mustAmendmentID("0195a0c4-0000-7000-9000-999999999999"), Author: testAuthor, At: time.Date(2026, 3, 11, 9, 0, 0, 0, time.UTC), Reason: "a slip"}
		if len(all) == 0 {
			return
		}
		// Undoing a change must have the same effect as never making it.
		i := rapid.IntRange(0, len(all)-1).Draw(t, "undone")
		if all[i].Change.Kind == ChangeUndo {
			return // undoing an undo is below
		}
		last.Change = Undo(all[i].ID)
		without := append(append([]Amendment{}, all[:i]...), all[i+1:]...)
		if diff := cmp.Diff(Apply(s, withoutUndosOf(without, all[i].ID)), Apply(s, append(all, last))); diff != "" {
			t.Fatalf("undone differs from never made:\n%s", diff)
		}
		// Undoing the undo restores the change.
		redo := last
		redo.ID, redo.At, redo.Change = mustAmendmentID("0195a0c4-0000-7000-9000-9999999999aa"), last.At.Add(time.Hour), Undo(last.ID)
		if diff := cmp.Diff(Apply(s, all), Apply(s, append(all, last, redo))); diff != "" {
			t.Fatalf("undo of the undo differs from the change:\n%s", diff)
		}
	})
}

// withoutUndosOf drops amendments that depend on the removed one.
func withoutUndosOf(list []Amendment, id newel.AmendmentID) []Amendment {
	gone := map[newel.AmendmentID]bool{id: true}
	var out []Amendment
	for _, a := range list {
		if a.Change.Kind == ChangeUndo && gone[a.Change.Undo] {
			gone[a.ID] = true
			continue
		}
		out = append(out, a)
	}
	return out
}

func TestAmendmentsApplyInOrderOfTime(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := genState.Draw(t, "state")
		all := genAmendments(t, s, 6)
		shuffled := rapid.Permutation(append(append([]Amendment{}, all...), all...)).Draw(t, "rows")
		if diff := cmp.Diff(Apply(s, all), Apply(s, shuffled)); diff != "" {
			t.Fatalf("the order of rows matters:\n%s", diff)
		}
	})
}

func TestAmendingLosesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := genState.Draw(t, "state")
		before, _ := json.Marshal(s)
		v := Apply(s, genAmendments(t, s, 6))
		if after, _ := json.Marshal(s); string(after) != string(before) {
			t.Fatal("applying amendments changed the state")
		}
		if got, want := len(v.Surplus)+len(v.Settled), len(s.Surplus()); got != want {
			t.Fatalf("%d surplus items became %d", want, got)
		}
	})
}

func TestChangeRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		for _, a := range genAmendments(t, genState.Draw(t, "state"), 4) {
			kept, err := json.Marshal(a.Change)
			if err != nil {
				t.Fatal(err)
			}
			var back Change
			if err := json.Unmarshal(kept, &back); err != nil {
				t.Fatalf("%s: %v", kept, err)
			}
			if diff := cmp.Diff(a.Change, back); diff != "" {
				t.Fatalf("%s changed in the round trip:\n%s", kept, diff)
			}
		}
	})
}

func amend(changes ...Change) []Amendment {
	out := make([]Amendment, len(changes))
	for i, c := range changes {
		out[i] = Amendment{
			ID: mustAmendmentID(fmt.Sprintf("0195a0c4-0000-7000-9000-%012d", i)), Author: testAuthor,
			At: time.Date(2026, 3, 10, 9, i, 0, 0, time.UTC), Reason: "seen on the video", Change: c,
		}
	}
	return out
}

func TestAmending(t *testing.T) {
	t.Parallel()
	s := stateOf(t, []Document{closed(doc(1, 1)), doc(2, 1, 1), at(doc(), "shop", 1)})
	refs := map[string]Ref{}
	for _, x := range s.Surplus() {
		switch {
		case x.Trial != nil:
			refs[fmt.Sprint(x.Trial.N)] = x.Ref
		case x.Field != nil:
			refs[string(x.Field.Name)] = x.Ref
		}
	}

	if got := len(Apply(s, nil).Trials); got != 2 {
		t.Fatalf("%d trials before, want 2", got)
	}
	v := Apply(s, amend(Join(refs["3"]), Join(refs["1"]), SetAside(refs["place"]), VoidTrial(2)))
	if len(v.Trials) != 3 || v.Trials[0].Rev != 2 || !v.Trials[1].Void || v.Trials[2].N != 3 {
		t.Errorf("trials = %+v, want revision 2 of the first, the second void, the third joined", v.Trials)
	}
	if len(v.Surplus) != 0 || len(v.Settled) != 3 {
		t.Errorf("surplus %v, settled %v; want all settled", v.Surplus, v.Settled)
	}
	if _, ok := v.Header.Place.Get(); ok {
		t.Error("a place that was set aside is in effect")
	}
	ghost := amend(Join(refs["3"]), VoidTrial(3), Undo(mustAmendmentID("0195a0c4-0000-7000-9000-000000000000")))
	if v := Apply(s, ghost); len(v.Trials) != 2 || len(v.Unapplied) != 1 || v.Unapplied[0] != ghost[1].ID {
		t.Errorf("unapplied = %v, want the one whose trial was undone", v.Unapplied)
	}
	v = Apply(s, amend(Join(refs["place"]), GiveAnswer(2, Answer{Outcome: measure.Declined}), VoidSession()))
	if place := v.Header.Place.Or(""); place != "shop" {
		t.Errorf("place = %q, want the joined one", place)
	}
	if v.Trials[1].Answer.Outcome != measure.Declined || !v.Void {
		t.Errorf("second trial %+v, session void %v", v.Trials[1], v.Void)
	}
}

func TestCheckNamesTheInvalidField(t *testing.T) {
	t.Parallel()
	open, done := Apply(Of(doc(1)), nil), Apply(Of(closed(doc(1))), nil)
	id := mustAmendmentID("0195a0c4-0000-7000-9000-000000000001")
	tests := map[string]struct {
		view   View
		reason string
		change Change
		path   string
	}{
		"no reason":                 {done, "  ", VoidTrial(1), "reason"},
		"reason too long":           {done, strings.Repeat("é", MaxReason+1), VoidTrial(1), "reason"},
		"still open":                {open, "slip", VoidTrial(1), "change"},
		"unknown trial":             {done, "slip", VoidTrial(2), "n"},
		"unknown surplus":           {done, "slip", Join("trial-9-9-0"), "ref"},
		"unknown amendment to undo": {done, "slip", Undo(testAmendment), "undo"},
		"whole session, still open": {open, "slip", VoidSession(), ""},
		"trial, session closed":     {done, "slip", VoidTrial(1), ""},
		"undo a known amendment":    {done, "slip", Undo(id), ""},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			err := Check(test.view, []newel.AmendmentID{id}, Amendment{Reason: test.reason, Change: test.change})
			var invalid *InvalidError
			if errors.As(err, &invalid) != (test.path != "") || invalid != nil && invalid.Path != test.path {
				t.Errorf("error = %v, want one at %q", err, test.path)
			}
		})
	}
}

var testAmendment = mustAmendmentID("0195a0c4-0000-7000-9000-000000000042")
