package recording

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/measure"
)

// doc returns an open document whose trials were all correct, with the given
// revisions.
func doc(revs ...int) Document {
	d := Document{
		Contract: Contract, ID: testID,
		Origin: Origin{Placement: testPlacement, Author: testAuthor, Kit: Kit{"kit-1", testHash}, Device: "phone", StartedAt: "2026-03-09T18:30:12+08:00"},
		Header: Header{By: Rev(1, testPeople[0]), Kind: Rev(1, Teaching), How: Rev(1, Live)},
		Trials: []Trial{},
	}
	for i, rev := range revs {
		d.Trials = append(d.Trials, Trial{N: i + 1, Rev: rev, AtMS: 1000, Answer: &Answer{Outcome: measure.Correct}})
	}
	return d
}

func closed(d Document) Document {
	d.Closing = &Closing{Last: len(d.Trials), EndMS: 60_000, EndedAt: "2026-03-09T18:31:12+08:00"}
	return d
}

// wrong changes the last trial's answer without raising its revision.
func wrong(d Document) Document {
	d.Trials[len(d.Trials)-1].Answer = &Answer{Outcome: measure.Incorrect}
	return d
}

func at(d Document, place string, rev int) Document {
	d.Header.Place = Rev(rev, place)
	return d
}

func TestWhatCountsAndWhatIsSurplus(t *testing.T) {
	t.Parallel()
	type beside struct {
		What string
		N    int
		Rev  int
		Why  Why
	}
	tests := map[string]struct {
		docs   []Document
		stands []int // revisions of trials 1, 2, …
		beside []beside
	}{
		"an open recording grows":                   {[]Document{doc(1), doc(1, 1), doc(1, 2, 1)}, []int{1, 2, 1}, nil},
		"a correction arrives first":                {[]Document{doc(2), doc(1)}, []int{2}, nil},
		"same revision, different content":          {[]Document{doc(1, 1), wrong(doc(1, 1))}, []int{1, 1}, []beside{{"trial", 2, 1, WhyDiffers}}},
		"a later revision resolves a contradiction": {[]Document{doc(1), wrong(doc(1)), doc(2)}, []int{2}, nil},
		"closed, older snapshot late":               {[]Document{closed(doc(2, 1)), doc(1)}, []int{2, 1}, nil},
		"closed, more trials late":                  {[]Document{closed(doc(1)), doc(1, 1)}, []int{1}, []beside{{"trial", 2, 1, WhyBeyond}}},
		"closed, correction late":                   {[]Document{closed(doc(1)), doc(2)}, []int{1}, []beside{{"trial", 1, 2, WhyLater}}},
		"the same in reverse order":                 {[]Document{doc(2), closed(doc(1))}, []int{1}, []beside{{"trial", 1, 2, WhyLater}}},
		"closed, header correction late":            {[]Document{closed(at(doc(), "home", 1)), at(doc(), "shop", 2)}, []int{}, []beside{{"place", 0, 2, WhyLater}}},
		"closed without a place, place late":        {[]Document{closed(doc()), at(doc(), "shop", 1)}, []int{}, []beside{{"place", 0, 1, WhyLater}}},
		"closed twice, the fuller one counts":       {[]Document{closed(doc(1)), closed(doc(1, 1))}, []int{1, 1}, []beside{{"closing", 0, 0, WhyDiffers}}},
		"closed twice, equal length": {
			[]Document{closed(doc(1, 1)), closed(doc(2, 1))},
			[]int{2, 1},
			[]beside{{"closing", 0, 0, WhyDiffers}},
		},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := stateOf(t, test.docs)
			stands := []int{}
			for _, trial := range s.Trials() {
				stands = append(stands, trial.Rev)
			}
			if diff := cmp.Diff(test.stands, stands); diff != "" {
				t.Errorf("revisions that count (-want +got):\n%s", diff)
			}
			var got []beside
			for _, x := range s.Surplus() {
				switch {
				case x.Trial != nil:
					got = append(got, beside{"trial", x.Trial.N, x.Trial.Rev, x.Why})
				case x.Field != nil:
					got = append(got, beside{string(x.Field.Name), 0, x.Field.Rev, x.Why})
				case x.Closing != nil:
					got = append(got, beside{"closing", 0, 0, x.Why})
				default:
					got = append(got, beside{"origin", 0, 0, x.Why})
				}
			}
			if diff := cmp.Diff(test.beside, got); diff != "" {
				t.Errorf("surplus (-want +got):\n%s", diff)
			}
		})
	}
}

func TestContradictingOriginIsFlagged(t *testing.T) {
	t.Parallel()
	other := doc(1)
	other.Device = "tablet"
	conflicts := stateOf(t, []Document{other, doc(1)}).Conflicts()
	if len(conflicts) != 1 || conflicts[0].Origin == nil || conflicts[0].Origin.Device != "tablet" {
		t.Errorf("conflicts = %+v, want the tablet's origin", conflicts)
	}
}

func TestSafeThroughStopsAtAGap(t *testing.T) {
	t.Parallel()
	d := doc(1, 1, 1, 1)
	d.Trials = append(d.Trials[:2], d.Trials[3])
	if got := Of(d).SafeThrough(); got != 2 {
		t.Errorf("safe through %d, want 2: trial 3 never arrived", got)
	}
	if got := merge(t, Of(d), Of(doc(1, 1, 1))).SafeThrough(); got != 4 {
		t.Errorf("safe through %d, want 4", got)
	}
}
