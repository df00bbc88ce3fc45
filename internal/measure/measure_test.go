package measure

import (
	"slices"
	"testing"

	"newel/internal/exact"
)

var scale = Scale{"gesture", "model", "full physical"}

func seconds(s string) *exact.Rat {
	r, err := exact.ParseJSON(s)
	if err != nil {
		panic(err)
	}
	return &r
}

func rats(list ...string) []exact.Rat {
	out := []exact.Rat{}
	for _, s := range list {
		out = append(out, *seconds(s))
	}
	return out
}

// text formats a value for the table below.
func text(v Value, ok bool) string {
	switch {
	case !ok:
		return "none"
	case v.Over:
		return "over"
	}
	return v.Number.String()
}

func TestMeasures(t *testing.T) {
	t.Parallel()
	right := func(help string) Trial { return Trial{Outcome: Correct, Help: help} }
	of := func(target string, o Outcome) Trial { return Trial{Target: target, Outcome: o} }
	took := func(s string) Trial { return Trial{Outcome: Incorrect, LatencyS: seconds(s)} }
	calm := func(s string) Trial { return Trial{Outcome: Correct, RecoveryS: seconds(s)} }
	mixed := []Trial{
		right(""), right("gesture"), right("model"),
		{Outcome: Incorrect},
		{Outcome: NoResponse},
		{Outcome: Declined},
		{Outcome: NoChance},
		{Outcome: AdultPart},
		{Outcome: Correct, Void: true},
	}
	count, none := int64(12), (*int64)(nil)
	for _, c := range []struct{ name, got, want string }{
		{"alone", text(Accuracy(mixed, scale, 0)), "20"},
		{"up to a gesture", text(Accuracy(mixed, scale, 1)), "40"},
		{"with any help", text(Accuracy(mixed, scale, len(scale))), "60"},
		{"nothing scored", text(Accuracy(mixed[5:], scale, 0)), "none"},
		{"8 of 9 is not 88.9", text(Accuracy(append(slices.Repeat([]Trial{right("")}, 8), Trial{Outcome: Incorrect}), scale, 0)), "800/9"},
		{"errors", text(Errors(mixed)), "2"},
		{"no errors", text(Errors(mixed[:3])), "0"},
		{"errors of nothing", text(Errors(nil)), "none"},
		{"first right", text(FirstTrial(mixed)), "100"},
		{"first with help", text(FirstTrial(mixed[1:])), "0"},
		{"first scored one", text(FirstTrial(append(slices.Clone(mixed[5:]), right("")))), "100"},
		{"no first", text(FirstTrial(mixed[5:])), "none"},
		{"worst target", text(WorstAccuracy([]Trial{of("cup", Correct), of("spoon", Correct), of("spoon", Incorrect)}, []string{"cup", "spoon"}, scale, 0, false)), "50"},
		{"worst where lower is better", text(WorstAccuracy([]Trial{of("cup", Correct), of("spoon", Incorrect)}, []string{"cup", "spoon"}, scale, 0, true)), "100"},
		{"a target without trials", text(WorstAccuracy([]Trial{of("cup", Correct)}, []string{"cup", "spoon"}, scale, 0, false)), "none"},
		{"other targets do not matter", text(WorstAccuracy([]Trial{of("cup", Correct), of("fork", Incorrect)}, []string{"cup"}, scale, 0, false)), "100"},
		{"no targets", text(WorstAccuracy(mixed, nil, scale, 0, false)), "none"},
		{"each first right", text(FirstTrialOfEach([]Trial{of("cup", Correct), of("spoon", Correct), of("cup", Incorrect)}, []string{"cup", "spoon"})), "100"},
		{"one first wrong", text(FirstTrialOfEach([]Trial{of("cup", Correct), of("spoon", Incorrect)}, []string{"cup", "spoon"})), "0"},
		{"one first missing", text(FirstTrialOfEach([]Trial{of("cup", Correct)}, []string{"cup", "spoon"})), "none"},
		{"each first right, another target wrong", text(FirstTrialOfEach([]Trial{of("fork", Incorrect), of("cup", Correct)}, []string{"cup"})), "100"},
		{"each first of no targets", text(FirstTrialOfEach(mixed, nil)), "none"},
		{"latency, odd", text(Latency([]Trial{took("3"), took("1.2"), took("60")})), "3"},
		{"latency, even", text(Latency([]Trial{took("3"), took("1.2")})), "2.1"},
		{"latency, one over", text(Latency([]Trial{took("3"), took("1.2"), {Outcome: Incorrect, None: true}})), "3"},
		{"latency, over in the middle", text(Latency([]Trial{took("3"), {Outcome: Correct, None: true}})), "over"},
		{"latency, a number with no response", text(Latency([]Trial{{Outcome: NoResponse, LatencyS: seconds("1")}})), "over"},
		{"latency of declined", text(Latency([]Trial{{Outcome: Declined, LatencyS: seconds("1")}})), "none"},
		{"latency unknown", text(Latency([]Trial{right("")})), "none"},
		{"recovery, odd", text(Recovery([]Trial{calm("41"), calm("9.5"), calm("60")})), "41"},
		{"recovery, one over", text(Recovery([]Trial{calm("41"), calm("9"), {Outcome: Incorrect, RecoveryNone: true}})), "41"},
		{"recovery, over in the middle", text(Recovery([]Trial{calm("41"), {Outcome: Incorrect, RecoveryNone: true}})), "over"},
		{"recovery of no response", text(Recovery([]Trial{{Outcome: NoResponse}})), "none"},
		{"recovery of a child who said no", text(Recovery([]Trial{{Outcome: Declined, RecoveryS: seconds("9")}})), "none"},
		{"a latency is no recovery", text(Recovery([]Trial{took("3")})), "none"},
		{"a recovery is no latency", text(Latency([]Trial{calm("3")})), "none"},
		{"intervals", text(Intervals([]bool{true, false, true})), "200/3"},
		{"no intervals", text(Intervals([]bool{})), "none"},
		{"rate", text(Rate(&count, seconds("300"))), "2.4"},
		{"rate in no time", text(Rate(&count, seconds("0"))), "none"},
		{"rate without a count", text(Rate(none, seconds("300"))), "none"},
		{"total", text(TotalDuration(rats("20", "35.5"))), "55.5"},
		{"total of none seen", text(TotalDuration(rats())), "0"},
		{"total unknown", text(TotalDuration(nil)), "none"},
		{"mean duration", text(MeanDuration(rats("20", "35.5"))), "27.75"},
		{"mean of none", text(MeanDuration(rats())), "none"},
		{"longest", text(LongestDuration(rats("20", "35.5", "1"))), "35.5"},
		{"longest of none", text(LongestDuration(rats())), "none"},
	} {
		if c.got != c.want {
			t.Errorf("%s: got %s, want %s", c.name, c.got, c.want)
		}
	}
}

func TestMeanAndMedianOver(t *testing.T) {
	t.Parallel()
	over := Value{Over: true}
	n := func(i int64) Value { return Of(exact.Int(i)) }
	for _, c := range []struct{ name, got, want string }{
		{"mean", text(Mean([]Value{n(1), n(2)}), true), "1.5"},
		{"mean with one over", text(Mean([]Value{n(1), over, n(2)}), true), "over"},
		{"median with one over", text(Median([]Value{over, n(1), n(2)}), true), "2"},
		{"median on one over", text(Median([]Value{over, n(1)}), true), "over"},
	} {
		if c.got != c.want {
			t.Errorf("%s: got %s, want %s", c.name, c.got, c.want)
		}
	}
	if n(1).Compare(n(2)) != -1 || n(2).Compare(n(2)) != 0 || n(2).Compare(n(1)) != 1 {
		t.Error("numbers are not compared by size")
	}
	if over.Compare(over) != 0 || over.Compare(n(9)) != 1 || n(9).Compare(over) != -1 {
		t.Error("over the limit is not more than any number")
	}
}

func TestScale(t *testing.T) {
	t.Parallel()
	for level, want := range map[string]int{"": 0, "gesture": 1, "full physical": 3} {
		if got, ok := scale.Rank(level); !ok || got != want {
			t.Errorf("%q: %d %v", level, got, ok)
		}
	}
	if _, ok := scale.Rank("Gesture"); ok {
		t.Error("a different spelling is on the scale")
	}
	if scale.Within(&Trial{Outcome: Correct, Help: "shout"}, 3) {
		t.Error("unknown help is within")
	}
	for _, o := range Outcomes {
		trial := Trial{Outcome: o}
		if want := o == Correct || o == Incorrect || o == NoResponse; trial.Scored() != want {
			t.Errorf("%s: scored %v", o, trial.Scored())
		}
		if trial.Declined() != (o == Declined) || trial.Offered() != (trial.Scored() || o == Declined) {
			t.Errorf("%s: declined %v, offered %v", o, trial.Declined(), trial.Offered())
		}
		void := Trial{Outcome: o, Void: true}
		if void.Scored() || void.Declined() || void.Offered() {
			t.Errorf("%s: a void trial counts", o)
		}
	}
}
