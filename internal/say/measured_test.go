package say

import (
	"slices"
	"strings"
	"testing"

	"newel/internal/measure"
	"newel/internal/message"
	"newel/internal/recording"
)

func TestMeasuredFacts(t *testing.T) {
	t.Parallel()
	c, err := message.Load()
	if err != nil {
		t.Fatal(err)
	}
	p := c.For("en")
	for _, test := range []struct {
		name   string
		header recording.Header
		want   []string
	}{
		{"trials only", recording.Header{}, nil},
		{
			"a count with a clock",
			recording.Header{Count: recording.Rev(3, int64(7)), ObservedMS: recording.Rev(4, int64(600_000)), Clock: recording.Rev(1, recording.ClockUsed)},
			[]string{"Counted 7 times in 10:00, by the clock."},
		},
		{
			"a count without a clock, with remembered minutes",
			recording.Header{Count: recording.Rev(3, int64(1)), ObservedMS: recording.Rev(1, int64(450_000)), Clock: recording.Rev(1, recording.ClockNone)},
			[]string{"Counted 1 time in about 7:30, without a clock."},
		},
		{
			"a count of an older phone",
			recording.Header{Count: recording.Rev(1, int64(0)), ObservedMS: recording.Rev(1, int64(300_000))},
			[]string{"Counted 0 times in 5:00."},
		},
		{
			"a count without a time",
			recording.Header{Count: recording.Rev(1, int64(3)), Clock: recording.Rev(1, recording.ClockNone)},
			[]string{"Counted 3 times, without a clock. There is no rate, because the observation time is not known."},
		},
		{
			"durations with an estimate",
			recording.Header{DurationsMS: recording.Rev(3, []int64{14_000, 3_780_000}), Estimated: recording.Rev(1, []int{2})},
			[]string{"2 durations, 1:03:14 in total: 0:14; 1:03:00 (estimated).", "The end of 1 was estimated."},
		},
		{
			"it never happened",
			recording.Header{DurationsMS: recording.Rev(1, []int64{})},
			[]string{"It never occurred."},
		},
		{
			"intervals with some unseen",
			recording.Header{
				Intervals:    recording.Rev(4, []bool{true, false, true}),
				IntervalKind: recording.Rev(1, measure.MomentaryInterval), IntervalMS: recording.Rev(1, int64(20_000)),
				Unseen: recording.Rev(2, []int{2, 5}),
			},
			[]string{"Momentary time sampling, every 20 seconds.", "2 of 3 intervals marked: + − +", "2 intervals were not observed and are excluded: number 2, 5."},
		},
		{
			"intervals of an older phone",
			recording.Header{Intervals: recording.Rev(1, []bool{true})},
			[]string{"1 of 1 interval marked: +"},
		},
		{
			"all slept through",
			recording.Header{Intervals: recording.Rev(1, []bool{}), IntervalKind: recording.Rev(1, measure.PartialInterval), IntervalMS: recording.Rev(1, int64(7_500)), Unseen: recording.Rev(1, []int{1})},
			[]string{"Partial-interval recording, intervals of 7.5 seconds.", "1 interval was not observed and is excluded: number 1."},
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			if got := measuredFacts(p, &test.header); !slices.Equal(got, test.want) {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(test.want, "\n"))
			}
		})
	}
}
