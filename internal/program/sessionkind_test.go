package program

import (
	"strings"
	"testing"

	"newel/internal/criterion"
)

func TestKindsAhead(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		step    Step
		tally   SessionTally
		planned criterion.Kind
		want    string // first letters; m is maintenance
	}{
		{name: "only teaching", want: "t"},
		{name: "baseline first", step: Step{Baseline: 3}, want: "bbbt"},
		{name: "the rest of the baseline", step: Step{Baseline: 3}, tally: SessionTally{Baselines: 2}, want: "bt"},
		{name: "more baseline than planned", step: Step{Baseline: 3}, tally: SessionTally{Baselines: 4}, want: "t"},
		{name: "baseline left out at first", step: Step{Baseline: 1}, tally: SessionTally{SinceProbe: 4}, want: "bt"},
		{name: "every third a probe", step: Step{ProbeEvery: 3}, want: "ttpttpttpttp"},
		{name: "one session since the probe", step: Step{ProbeEvery: 3}, tally: SessionTally{SinceProbe: 1}, want: "tpttpttpttpt"},
		{name: "a probe left out stays due", step: Step{ProbeEvery: 3}, tally: SessionTally{SinceProbe: 5}, want: "pttpttpttptt"},
		{name: "only probes", step: Step{ProbeEvery: 1}, want: "pppppppppppp"},
		{name: "baseline, then probes", step: Step{Baseline: 2, ProbeEvery: 2}, want: "bbtptptptptp"},
		{name: "a planned probe", planned: criterion.Probe, want: "pt"},
		{name: "a planned probe starts the count again", step: Step{ProbeEvery: 3}, tally: SessionTally{SinceProbe: 1}, planned: criterion.Probe, want: "pttpttpttptt"},
		{name: "a planned baseline session is one of the baseline", step: Step{Baseline: 2}, planned: criterion.Baseline, want: "bbt"},
		{name: "a planned check before a probe", step: Step{ProbeEvery: 2}, tally: SessionTally{SinceProbe: 1}, planned: criterion.Maintenance, want: "mptptptptptp"},
	} {
		var got strings.Builder
		for _, kind := range c.step.KindsAhead(c.tally, c.planned) {
			got.WriteByte(kind[0])
		}
		if got.String() != c.want {
			t.Errorf("%s: %s, want %s", c.name, got.String(), c.want)
		}
	}
}
