package say

import (
	"fmt"
	"strings"
	"time"

	"newel/internal/message"
	"newel/internal/recording"
)

// measuredFacts says what a session measured other than trial by trial: a count
// and whether a clock ran, each duration and which ends are estimates, the
// intervals, what one means and which of them nobody observed.
func measuredFacts(t *message.Printer, h *recording.Header) []string {
	var facts []string
	if n, ok := h.Count.Get(); ok {
		facts = append(facts, countFact(t, n, h))
	}
	if all, ok := h.DurationsMS.Get(); ok {
		facts = append(facts, durationFacts(t, all, h.Estimated.Or(nil))...)
	}
	if all, ok := h.Intervals.Get(); ok {
		facts = append(facts, intervalFacts(t, all, h)...)
	}
	return facts
}

func countFact(t *message.Printer, n int64, h *recording.Header) string {
	observed, timed := h.ObservedMS.Get()
	clock := h.Clock.Or("")
	switch {
	case timed && clock == recording.ClockUsed:
		return t.Text("onesession.counted_clock", "n", n, "time", clockText(observed))
	case timed && clock == recording.ClockNone:
		return t.Text("onesession.counted_no_clock", "n", n, "time", clockText(observed))
	case timed:
		return t.Text("onesession.counted_in", "n", n, "time", clockText(observed))
	}
	return t.Text("onesession.counted_only", "n", n)
}

func durationFacts(t *message.Printer, all []int64, estimated []int) []string {
	if len(all) == 0 {
		return []string{t.Text("onesession.never")}
	}
	guessed := map[int]bool{}
	for _, n := range estimated {
		guessed[n] = true
	}
	each, total := make([]string, len(all)), int64(0)
	for i, ms := range all {
		each[i] = clockText(ms)
		if guessed[i+1] {
			each[i] = t.Text("onesession.estimated_one", "time", each[i])
		}
		total += ms
	}
	facts := []string{t.Text("onesession.durations", "n", len(all), "total", clockText(total), "each", strings.Join(each, "; "))}
	if len(estimated) > 0 {
		facts = append(facts, t.Text("onesession.estimated", "n", len(estimated)))
	}
	return facts
}

func intervalFacts(t *message.Printer, all []bool, h *recording.Header) []string {
	yes, signs := 0, make([]string, len(all))
	for i, marked := range all {
		signs[i] = "−"
		if marked {
			signs[i] = "+"
			yes++
		}
	}
	var facts []string
	if kind, ok := h.IntervalKind.Get(); ok {
		seconds := float64(h.IntervalMS.Or(0)) / 1000
		facts = append(facts, t.Text("onesession.intervals_"+string(kind), "seconds", seconds))
	}
	if len(all) > 0 {
		facts = append(facts, t.Text("onesession.intervals", "n", len(all), "yes", yes, "each", strings.Join(signs, " ")))
	}
	if unseen := h.Unseen.Or(nil); len(unseen) > 0 {
		numbers := make([]string, len(unseen))
		for i, n := range unseen {
			numbers[i] = t.Number(n)
		}
		facts = append(facts, t.Text("onesession.unseen", "n", len(unseen), "which", strings.Join(numbers, ", ")))
	}
	return facts
}

// clockText returns milliseconds as minutes and seconds, such as 4:12 or
// 1:02:03.
func clockText(ms int64) string {
	s := int64((time.Duration(ms) * time.Millisecond).Seconds())
	if h := s / 3600; h > 0 {
		return fmt.Sprintf("%d:%02d:%02d", h, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}
