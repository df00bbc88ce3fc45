package recording

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/newel"
)

func TestSessionOf(t *testing.T) {
	t.Parallel()
	d := closed(doc(1, 1))
	latency := int64(1234)
	d.Trials[0].Answer = &Answer{Target: "cup", Outcome: measure.Incorrect, Help: "model", LatencyMS: &latency, Choices: 3, Position: 2}
	d.Trials[1] = Trial{N: 2, Rev: 2, AtMS: 5, Void: true}
	d.Header.Place = Rev(1, "home")
	d.Header.ObservedMS = Rev(1, int64(90_500))
	d.Header.DurationsMS = Rev(1, []int64{})
	d.Header.EndedEarly = Rev(1, EndedDistress)
	times := Times{Start: time.Unix(100, 0).UTC(), End: time.Unix(200, 0).UTC(), Day: newel.NewDay(1970, 1, 1)}

	lat, observed := exact.Frac(617, 500), exact.Frac(181, 2)
	want := Session{
		ID: testID.String(), StartedAt: times.Start, EndedAt: times.End, Day: times.Day,
		By: testPeople[0].String(), Place: "home", PlaceSort: newel.SortHome, Kind: Teaching, EndedEarly: EndedDistress,
		Trials: []measure.Trial{
			{Target: "cup", Outcome: measure.Incorrect, Help: "model", LatencyS: &lat, Choices: 3, Position: 2},
			{Outcome: measure.NoChance, Void: true},
		},
		ObservedS: &observed, DurationsS: []exact.Rat{},
	}
	got := SessionOf(Apply(Of(d), nil), times)
	if diff := cmp.Diff(want, got, cmp.Comparer(exact.Rat.Equal), cmp.Comparer(func(a, b newel.Day) bool { return a == b })); diff != "" {
		t.Errorf("session (-want +got):\n%s", diff)
	}
}

// TestNothingSurplusIsEverScored: nothing that arrives after a closing changes
// the evaluated trials.
func TestNothingSurplusIsEverScored(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := genDocument.Filter(func(d Document) bool { return d.Closing != nil }).Draw(t, "closing")
		s := Of(d)
		before := SessionOf(Apply(s, nil), Times{})
		for _, late := range rapid.SliceOfN(genDocument, 0, 4).Draw(t, "late") {
			late.Closing = nil
			s = merge(t, s, Of(late))
		}
		after := SessionOf(Apply(s, nil), Times{})
		if diff := cmp.Diff(before, after, cmp.Comparer(exact.Rat.Equal), cmp.Comparer(func(a, b newel.Day) bool { return a == b })); diff != "" {
			t.Fatalf("a late document changed the evaluated session:\n%s", diff)
		}
	})
}
