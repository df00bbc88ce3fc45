package recording

import (
	"fmt"
	"time"

	"github.com/google/uuid"
	"pgregory.net/rapid"

	"newel/internal/measure"
	"newel/internal/newel"
)

// The generators draw from few values on purpose, so that contradictions, late
// revisions and second closings are common.

var (
	testID        = mustRecordingID("0195a0c4-7b1e-7c3a-9d52-3f6f0a1b2c3d")
	testPlacement = mustPlacementID("0195a0c4-0000-7000-8000-000000000001")
	testAuthor    = mustAccountID("0195a0c4-0000-7000-8000-000000000002")
	testPeople    = []newel.PersonID{
		mustPersonID("0195a0c4-0000-7000-8000-00000000000a"),
		mustPersonID("0195a0c4-0000-7000-8000-00000000000b"),
	}
	testHash = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
)

func mustRecordingID(s string) newel.RecordingID {
	return newel.RecordingID{UUID: uuid.MustParse(s)}
}

func mustPlacementID(s string) newel.PlacementID {
	return newel.PlacementID{UUID: uuid.MustParse(s)}
}

func mustAccountID(s string) newel.AccountID { return newel.AccountID{UUID: uuid.MustParse(s)} }

func mustPersonID(s string) newel.PersonID { return newel.PersonID{UUID: uuid.MustParse(s)} }

func mustAmendmentID(s string) newel.AmendmentID {
	return newel.AmendmentID{UUID: uuid.MustParse(s)}
}

var genRev = rapid.IntRange(1, 3)

func optional[T any](t *rapid.T, label string, g *rapid.Generator[T]) Revised[T] {
	switch rapid.IntRange(0, 3).Draw(t, label+"?") {
	case 0:
		return Revised[T]{}
	case 1:
		return Revised[T]{Rev: genRev.Draw(t, label+" rev")}
	}
	return Rev(genRev.Draw(t, label+" rev"), g.Draw(t, label))
}

func required[T any](t *rapid.T, label string, g *rapid.Generator[T]) Revised[T] {
	return Rev(genRev.Draw(t, label+" rev"), g.Draw(t, label))
}

var genHeader = rapid.Custom(func(t *rapid.T) Header {
	return Header{
		By:          required(t, "by", rapid.SampledFrom(testPeople)),
		Kind:        required(t, "kind", rapid.SampledFrom([]Kind{Teaching, Probe})),
		How:         required(t, "how", rapid.SampledFrom([]How{Live, Afterwards})),
		PlannedHelp: optional(t, "planned_help", rapid.SampledFrom([]string{"", "gesture"})),
		EndedEarly:  optional(t, "ended_early", rapid.SampledFrom([]Ending{EndedInTime, EndedDistress})),
		Place:       optional(t, "place", rapid.SampledFrom([]string{"home", "<kitchen> & \"hall\"", "rumah 家"})),
		Present:     optional(t, "present", rapid.SliceOfN(rapid.SampledFrom([]string{"sister", "dog"}), 0, 2)),
		Count:       optional(t, "count", rapid.Int64Range(0, 2)),
		ObservedMS:  optional(t, "observed_ms", rapid.Int64Range(0, 2)),
		DurationsMS: optional(t, "durations_ms", rapid.SliceOfN(rapid.Int64Range(0, 2), 0, 2)),
		Intervals:   optional(t, "intervals", rapid.SliceOfN(rapid.Bool(), 0, 2)),
		Unfit:       optional(t, "unfit", rapid.SliceOfN(rapid.SampledFrom(newel.Conditions), 0, 2)),

		HappenedOn:   optional(t, "happened_on", rapid.SampledFrom([]newel.Day{newel.NewDay(2026, 3, 8), newel.NewDay(2026, 3, 9)})),
		About:        optional(t, "about", rapid.SampledFrom([]About{Morning, "17:30"})),
		PlaceName:    optional(t, "place_name", rapid.SampledFrom([]string{"", "baker’s"})),
		PlaceSort:    optional(t, "place_sort", rapid.SampledFrom(newel.PlaceSorts)),
		Estimated:    optional(t, "estimated", rapid.SampledFrom([][]int{{}, {1}, {1, 3}})),
		IntervalKind: optional(t, "interval_kind", rapid.SampledFrom(measure.IntervalKinds)),
		IntervalMS:   optional(t, "interval_ms", rapid.Int64Range(1, 2)),
		Unseen:       optional(t, "unseen", rapid.SampledFrom([][]int{{}, {2}})),
		Clock:        optional(t, "clock", rapid.SampledFrom([]CountClock{ClockUsed, ClockNone})),
		Note:         optional(t, "note", rapid.SampledFrom([]string{"", "tired today"})),
	}
})

var genAnswer = rapid.Custom(func(t *rapid.T) Answer {
	a := Answer{
		Target:  rapid.SampledFrom([]string{"", "cup"}).Draw(t, "target"),
		Outcome: rapid.SampledFrom([]measure.Outcome{measure.Correct, measure.Incorrect, measure.Declined}).Draw(t, "outcome"),
		Help:    rapid.SampledFrom([]string{"", "model"}).Draw(t, "help"),
	}
	switch rapid.IntRange(0, 5).Draw(t, "response") {
	case 4:
		ms := rapid.Int64Range(0, 1).Draw(t, "recovery")
		a.RecoveryMS, a.Adjusted = &ms, rapid.Bool().Draw(t, "adjusted")
	case 5:
		return rapid.SampledFrom([]Answer{
			{Outcome: measure.Correct, Help: "model", Expected: []Expected{{"w", measure.Correct, ""}, {"t", measure.Correct, "model"}}},
			{Outcome: measure.Incorrect, Expected: []Expected{{"w", measure.Incorrect, "model"}, {"t", measure.NoChance, ""}}},
			{Outcome: measure.Declined, Expected: []Expected{{"w", measure.Correct, ""}, {"t", measure.NoChance, ""}}},
		}).Draw(t, "expected")
	case 0:
		ms := rapid.Int64Range(0, 1).Draw(t, "latency")
		a.LatencyMS = &ms
	case 1:
		a.None = true
	case 2:
		a.Choices, a.Position = 3, rapid.IntRange(0, 3).Draw(t, "position")
	}
	return a
})

func genTrial(n int) *rapid.Generator[Trial] {
	return rapid.Custom(func(t *rapid.T) Trial {
		out := Trial{N: n, Rev: genRev.Draw(t, "rev"), AtMS: int64(n) * 1000}
		if rapid.IntRange(0, 4).Draw(t, "void") == 0 {
			out.Void = true
			return out
		}
		a := genAnswer.Draw(t, "answer")
		out.Answer = &a
		return out
	})
}

var genOrigin = rapid.Custom(func(t *rapid.T) Origin {
	return Origin{
		Placement: testPlacement, Author: testAuthor,
		Kit:       Kit{ID: "kit-1", Hash: testHash},
		Device:    rapid.SampledFrom([]string{"phone", "phone", "phone", "tablet"}).Draw(t, "device"),
		StartedAt: "2026-03-09T18:30:12.345+08:00",
	}
})

// genDocument generates valid documents of one recording, open or closing.
var genDocument = rapid.Custom(func(t *rapid.T) Document {
	d := Document{
		Contract: Contract, ID: testID,
		Origin: genOrigin.Draw(t, "origin"),
		Header: genHeader.Draw(t, "header"),
		Trials: []Trial{},
	}
	last := rapid.IntRange(0, 5).Draw(t, "last")
	closing := rapid.IntRange(0, 2).Draw(t, "closing") == 0
	for n := 1; n <= last; n++ {
		if closing || rapid.IntRange(0, 5).Draw(t, "gap") > 0 {
			d.Trials = append(d.Trials, genTrial(n).Draw(t, fmt.Sprintf("trial %d", n)))
		}
	}
	if closing {
		d.Closing = &Closing{Last: last, EndMS: rapid.SampledFrom([]int64{60_000, 90_000}).Draw(t, "end"), EndedAt: "2026-03-09T18:31:12.345+08:00"}
	}
	return d
})

var genDocuments = rapid.SliceOfN(genDocument, 1, 6)

// genState generates states that deliveries can lead to, including the empty
// one.
var genState = rapid.Custom(func(t *rapid.T) State {
	return stateOf(t, rapid.SliceOfN(genDocument, 0, 4).Draw(t, "documents"))
})

type failer interface {
	Helper()
	Fatalf(string, ...any)
}

func stateOf(t failer, docs []Document) State {
	t.Helper()
	var s State
	for _, d := range docs {
		s = merge(t, s, Of(d))
	}
	return s
}

func merge(t failer, a, b State) State {
	t.Helper()
	m, err := Merge(a, b)
	if err != nil {
		t.Fatalf("merge: %v", err)
	}
	return m
}

// genAmendments generates amendments that are valid for the view as it grows.
func genAmendments(t *rapid.T, s State, most int) []Amendment {
	var out []Amendment
	var ids []newel.AmendmentID
	for range rapid.IntRange(0, most).Draw(t, "amendments") {
		a := genAmendment(t, Apply(s, out), ids, len(out))
		if err := Check(Apply(s, out), ids, a); err != nil {
			t.Fatalf("check %+v: %v", a, err)
		}
		out, ids = append(out, a), append(ids, a.ID)
	}
	return out
}

func genAmendment(t *rapid.T, v View, ids []newel.AmendmentID, index int) Amendment {
	changes := []Change{VoidSession()}
	if v.Closed {
		place, err := SetField("place", []byte(`"garden"`))
		if err != nil {
			t.Fatalf("set field: %v", err)
		}
		taken, err := SetField("place", nil)
		if err != nil {
			t.Fatalf("clear field: %v", err)
		}
		changes = append(changes, place, taken)
		for _, x := range append(v.Surplus, v.Settled...) {
			changes = append(changes, SetAside(x.Ref))
			if x.Trial != nil || x.Field != nil {
				changes = append(changes, Join(x.Ref))
			}
		}
		for _, trial := range v.Trials {
			changes = append(changes, VoidTrial(trial.N), GiveAnswer(trial.N, genAnswer.Draw(t, "new answer")))
		}
	}
	for _, id := range ids {
		changes = append(changes, Undo(id))
	}
	return Amendment{
		ID:     mustAmendmentID(fmt.Sprintf("0195a0c4-0000-7000-9000-%012d", index)),
		Author: testAuthor, Reason: "tapped the wrong answer",
		At:     time.Date(2026, 3, 10, 9, index/2, 0, 0, time.UTC), // some share a moment
		Change: rapid.SampledFrom(changes).Draw(t, "change"),
	}
}
