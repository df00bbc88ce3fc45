package criterion

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/exact"
)

var vocabulary = Vocabulary{HelpLevels: helpLevels, Targets: []string{"cup", "spoon"}}

func TestParseCanonical(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ in, want string }{
		{"80% in 3 sessions", "80% independent in 3 sessions in a row"},
		{"at least 80 % correct in 3 sessions in a row", "80% independent in 3 sessions in a row"},
		{"  AT  LEAST\t80%   Independent\nIN 1 SESSION in a row ", "80% independent in 1 session"},
		{"66.70% in 2 sessions", "66.7% independent in 2 sessions in a row"},
		{"3x100%", "100% independent in 3 sessions in a row"}, // common practice
		{"3 × 100 %", "100% independent in 3 sessions in a row"},
		{"1X80%, 5 or more trials", "80% independent in 1 session, 5 or more trials"},
		{"at most 20% in 2 of the last 3 sessions", "at most 20% independent in 2 of the last 3 sessions"},
		{"90% in 1 of the last 1 session", "90% independent in 1 of the last 1 sessions"},
		{"above 90% of intervals in 2 sessions", "above 90% of intervals in 2 sessions in a row"},
		{"below 10% of intervals in 1 session", "below 10% of intervals in 1 session"},
		{"80% with help up to Partial  Physical in 2 sessions", "80% with help up to partial physical in 2 sessions in a row"},
		{"2.50 per minute in 2 sessions", "2.5 per minute in 2 sessions in a row"},
		{"at most 30 seconds in total in 2 sessions", "at most 30 seconds in total in 2 sessions in a row"},
		{"1 minutes on average in 1 session", "1 minute on average in 1 session"},
		{"1.0 second at longest in 1 sessions", "1 second at longest in 1 session"},
		{"0.5 minutes in total in 1 session", "0.5 minutes in total in 1 session"},
		{"Steady again within 1 seconds in 2 sessions", "steady again within 1 second in 2 sessions in a row"},
		{
			"80% in 3 sessions, and steady again within 30 seconds, across 2 homes",
			"80% independent in 3 sessions in a row, across 2 homes, and steady again within 30 seconds",
		},
		{"a response within 1 seconds in 2 sessions", "a response within 1 second in 2 sessions in a row"},
		{"2 error in 2 sessions", "at most 2 errors in 2 sessions in a row"},
		{"at most 1 errors in 2 sessions", "at most 1 error in 2 sessions in a row"},
		{"first trial correct in 2 sessions", "first trial correct in 2 sessions in a row"},
		{"80% in 3 sessions , 1 or more trial", "80% independent in 3 sessions in a row, 1 or more trials"},
		{
			"80% in 3 sessions, and a response within 5 seconds, across 2 places, across 1 people, across 3 day, probes only, each target, 5 or more trials",
			"80% independent in 3 sessions in a row, 5 or more trials, each target, probes only, across 3 days, across 1 person, across 2 places, and a response within 5 seconds",
		},
		{
			"2 per minute in 3 sessions, 5 or more trials, and 80% with help up to model, teaching only",
			"2 per minute in 3 sessions in a row, 5 or more trials, teaching only, and 80% with help up to model",
		},
		{"first trial correct in 2 sessions, each target", "first trial correct in 2 sessions in a row, each target"},
		{"0% in 50 sessions, 1000 or more trials, across 50 days", "0% independent in 50 sessions in a row, 1000 or more trials, across 50 days"},
		{"99999999999999999999.5 per minute in 1 session", "99999999999999999999.5 per minute in 1 session"},
	} {
		got, err := Parse(c.in, vocabulary)
		if err != nil {
			t.Errorf("%q: %v", c.in, err)
			continue
		}
		if got.String() != c.want {
			t.Errorf("%q:\n got %q\nwant %q", c.in, got, c.want)
		}
		again, err := Parse(c.want, vocabulary)
		if err != nil || !cmp.Equal(got, again) {
			t.Errorf("%q does not round-trip: %v %s", c.want, err, cmp.Diff(got, again))
		}
	}
}

func TestParseErrors(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		in   string
		kind ErrorKind
		part string
	}{
		{"", KindEmpty, ""},
		{"  \n", KindEmpty, ""},
		{"mastery", KindGoal, "mastery"},
		{"80", KindGoal, ""},
		{"80% of the time in 3 sessions", KindWindow, "of the time in 3 sessions"},
		{".5% in 3 sessions", KindNumber, ".5"},
		{"5.% in 3 sessions", KindNumber, "5."},
		{"1.2.3% in 3 sessions", KindNumber, "1.2.3"},
		{"66.6666667% in 3 sessions", KindNumber, "66.6666667"},
		{"80.0000000% in 3 sessions", KindNumber, "80.0000000"},
		{"-80% in 3 sessions", KindGoal, "-80% in 3 sessions"},
		{"100.1% in 3 sessions", KindRange, "100.1%"},
		{"at least in 3 sessions", KindNumber, "in 3 sessions"},
		{"80%", KindWindow, ""},
		{"80% in a row", KindWindow, "a row"},
		{"80% in 0 sessions", KindRange, "0"},
		{"80% in 51 sessions", KindRange, "51"},
		{"80% in 3.0 sessions", KindNumber, "3.0"},
		{"80% in 3 days", KindWindow, "days"},
		{"80% in 3 of the last 2 sessions", KindRange, "3 of the last 2"},
		{"80% in 3 of the last 51 sessions", KindRange, "51"},
		{"80% in 3 of the last 5", KindWindow, ""},
		{"80% in 3 of the last five sessions", KindWindow, "five sessions"},
		{"80% in 3 sessions with 5 or more trials", KindQualifier, "with 5 or more trials"},
		{"80% in 3 sessions, on Mondays", KindQualifier, "on Mondays"},
		{"80% in 3 sessions,", KindQualifier, ""},
		{"80% in 3 sessions, 0 or more trials", KindRange, "0"},
		{"80% in 3 sessions, 1001 or more trials", KindRange, "1001"},
		{"80% in 3 sessions, across people", KindQualifier, "people"},
		{"80% in 3 sessions, across 2 rooms", KindQualifier, "rooms"},
		{"80% in 3 sessions, across 51 days", KindRange, "51"},
		{"80% in 3 sessions, across 2 days, across 3 days", KindTwice, "across 3 days"},
		{"80% in 3 sessions, probes only, teaching only", KindTwice, "teaching only"},
		{"80% in 3 sessions, 5 or more trials, 5 or more trials", KindTwice, "5 or more trials"},
		{"80% in 3 sessions, and 2 errors, and 3 errors", KindTwice, "and 3 errors"},
		{"80% in 3 sessions, and", KindGoal, ""},
		{"at least 2 errors in 3 sessions", KindGoal, "at least 2 errors in 3 sessions"},
		{"2.5 errors in 3 sessions", KindNumber, "2.5"},
		{"30 seconds in 3 sessions", KindGoal, "in 3 sessions"},
		{"a response within 5 minutes in 3 sessions", KindGoal, "minutes in 3 sessions"},
		{"a response within seconds in 3 sessions", KindNumber, "seconds in 3 sessions"},
		{"3x100", KindGoal, "100"},
		{"0x100%", KindRange, "0"},
		{"3x101%", KindRange, "101%"},
		{"3x.5%", KindNumber, ".5"},
		{"80% with help up to shouting in 3 sessions", KindLevel, "shouting in 3 sessions"},
		{"80% with help up to partialphysical in 3 sessions", KindLevel, "partialphysical in 3 sessions"},
		{"80% with help up to models in 3 sessions", KindLevel, "models in 3 sessions"},
		{"80% with help up to m in 3 sessions", KindLevel, "m in 3 sessions"},
		{"80% with help up to model", KindWindow, ""},
		{"80% with help up to model sometimes", KindWindow, "sometimes"},
		{"2 per minute in 3 sessions, each target", KindNeeds, "each target"},
		{"2 per minute in 3 sessions, 5 or more trials", KindNeeds, "5 or more trials"},
		{"2 per minute in 3 sessions, 5 or more trials, and 1 minute in total", KindNeeds, "5 or more trials"},
	} {
		_, err := Parse(c.in, vocabulary)
		var parse *ParseError
		if !errors.As(err, &parse) {
			t.Errorf("%q: error %v", c.in, err)
			continue
		}
		if parse.Kind != c.kind || parse.Part != c.part {
			t.Errorf("%q: got %s about %q, want %s about %q", c.in, parse.Kind, parse.Part, c.kind, c.part)
		}
		if parse.Reason == "" || parse.Example == "" {
			t.Errorf("%q: no reason or no example: %v", c.in, err)
		}
		// The example must be valid in the context where it is shown.
		if _, err := Parse(parse.Example, vocabulary); err != nil {
			t.Errorf("the example %q: %v", parse.Example, err)
		}
	}
}

func TestParseWithoutVocabulary(t *testing.T) {
	t.Parallel()
	for text, kind := range map[string]ErrorKind{
		"80% in 3 sessions, each target":             KindNeeds,
		"80% with help up to gesture in 3 sessions":  KindLevel,
		"80% in 3 sessions, and 80% with help up to": KindLevel,
	} {
		_, err := Parse(text, Vocabulary{})
		var parse *ParseError
		if !errors.As(err, &parse) || parse.Kind != kind {
			t.Errorf("%q: %v, want kind %s", text, err, kind)
		}
	}
}

// TestParseLevels checks that the longest level is taken after which the
// sentence can still be parsed.
func TestParseLevels(t *testing.T) {
	t.Parallel()
	levels := []string{"show", "show me", "show in 2 sessions", "help, then wait", "Model", "model"}
	for text, want := range map[string]string{
		"80% with help up to show in 2 sessions":               "show",
		"80% with help up to show me in 2 sessions":            "show me",
		"80% with help up to show in 2 sessions in 3 sessions": "show in 2 sessions",
		"80% with help up to HELP,  then wait in 3 sessions":   "help, then wait",
		"80% with help up to model in 3 sessions":              "model",
		"80% with help up to Model in 3 sessions":              "Model",
		"80% with help up to MODEL in 3 sessions":              "Model",
	} {
		got, err := Parse(text, Vocabulary{HelpLevels: levels})
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if got.Goal.Level != want {
			t.Errorf("%q: level %q, want %q", text, got.Goal.Level, want)
		}
	}
	_, err := Parse("80% with help up to show me today", Vocabulary{HelpLevels: levels})
	if wrong, is := errors.AsType[*ParseError](err); !is || wrong.Part != "today" {
		t.Errorf("after two levels that match: %v, want an error about what follows the longer one", err)
	}
	two, err := Parse("80% with help up to show in 2 sessions, and 90% with help up to show me", Vocabulary{HelpLevels: levels})
	if err != nil || two.Goal.Level != "show" || two.Second.Level != "show me" {
		t.Errorf("two levels: %v %v", two, err)
	}
}

func TestParseStepBack(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"below 50% in 2 sessions in a row", "3x100%", exampleStepBack} {
		if _, err := ParseStepBack(text, vocabulary); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
	for text, part := range map[string]string{
		"below 50% in 2 sessions, across 2 days": "across 2 days",
		"below 50% in 2 sessions, probes only":   "probes only",
		"below 50% in 2 sessions, each target":   "each target",
		"below 50% in 2 sessions, and 3 errors":  "and at most 3 errors",
	} {
		_, err := ParseStepBack(text, vocabulary)
		var parse *ParseError
		if !errors.As(err, &parse) || parse.Kind != KindStepBack || parse.Part != part {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestExamples(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		exampleWhole, exampleShorthand, exampleOfLast, exampleTrials, exampleBreadth,
		exampleTargets, exampleSecond, exampleStepBack, exampleErrors,
	} {
		if _, err := Parse(text, vocabulary); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// goals generates goals.
func goals() *rapid.Generator[Goal] {
	return rapid.Custom(func(t *rapid.T) Goal {
		places := int64(rapid.SampledFrom([]int{1, 10, 1_000_000}).Draw(t, "places"))
		g := Goal{
			Measure:    Measure(rapid.IntRange(int(Accuracy), int(FirstTrial)).Draw(t, "measure")),
			Comparison: Comparison(rapid.IntRange(int(AtLeast), int(Above)).Draw(t, "comparison")),
			Number:     exact.Frac(rapid.Int64Range(0, 100*places).Draw(t, "number"), places),
		}
		switch g.Measure {
		case Accuracy:
			g.Level = rapid.SampledFrom(append([]string{""}, helpLevels...)).Draw(t, "level")
		case TotalDuration, MeanDuration, LongestDuration:
			g.Minutes = rapid.Bool().Draw(t, "minutes")
		case Latency:
			g.Comparison = AtMost
		case Errors:
			g.Comparison, g.Number = AtMost, exact.Int(rapid.Int64Range(0, 9).Draw(t, "errors"))
		case FirstTrial:
			g.Comparison, g.Number = AtLeast, exact.Int(100)
		}
		return g
	})
}

// criteria generates criteria that the vocabulary allows.
func criteria() *rapid.Generator[Criterion] {
	return rapid.Custom(func(t *rapid.T) Criterion {
		c := Criterion{
			Goal:   goals().Draw(t, "goal"),
			Window: windows().Draw(t, "window"),
			Only:   rapid.SampledFrom([]Only{AnyKind, ProbesOnly, TeachingOnly}).Draw(t, "only"),
			Days:   rapid.IntRange(0, 3).Draw(t, "days"),
			People: rapid.IntRange(0, 3).Draw(t, "people"),
			Places: rapid.IntRange(0, 3).Draw(t, "places"),
		}
		if rapid.Bool().Draw(t, "two goals") {
			second := goals().Draw(t, "second")
			c.Second = &second
		}
		if c.Goal.Measure == Accuracy || c.Goal.Measure == FirstTrial {
			c.EachTarget = rapid.Bool().Draw(t, "each target")
		}
		if c.Goal.Measure.OnTrials() || c.Second != nil && c.Second.Measure.OnTrials() {
			c.Trials = rapid.IntRange(0, 12).Draw(t, "trials")
		}
		return c
	})
}

func windows() *rapid.Generator[Window] {
	return rapid.Custom(func(t *rapid.T) Window {
		need := rapid.IntRange(1, 6).Draw(t, "need")
		if rapid.Bool().Draw(t, "in a row") {
			return Window{Need: need}
		}
		return Window{Need: need, Of: need + rapid.IntRange(0, 4).Draw(t, "more")}
	})
}

func TestCanonicalRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		want := criteria().Draw(t, "criterion")
		got, err := Parse(want.String(), vocabulary)
		if err != nil {
			t.Fatalf("%q: %v", want, err)
		}
		if !cmp.Equal(got, want) {
			t.Fatalf("%q: %s", want, cmp.Diff(want, got))
		}
		loud, err := Parse(strings.ToUpper(want.String()), vocabulary)
		if err != nil || loud.String() != want.String() {
			t.Fatalf("%q in capitals: %q, %v", want, loud, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{
		exampleWhole, exampleShorthand, exampleOfLast, exampleTrials, exampleBreadth, exampleTargets,
		exampleSecond, exampleStepBack, exampleErrors,
		"above 90% of intervals in 2 sessions", "80% with help up to partial physical in 2 sessions",
		"2.50 per minute in 2 of the last 3 sessions", "1 minute on average in 1 session, teaching only, across 1 person",
		"66.6666667%", ".5% in", "3 ×", "80% in 3 sessions, and 80% with help up to model",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, err := Parse(text, vocabulary)
		if err != nil {
			var parse *ParseError
			if !errors.As(err, &parse) || parse.Reason == "" {
				t.Fatalf("%q: error %#v", text, err)
			}
			return
		}
		again, err := Parse(c.String(), vocabulary)
		if err != nil || again.String() != c.String() || !cmp.Equal(again, c) {
			t.Fatalf("%q: canonical %q does not round-trip: %v", text, c, err)
		}
	})
}
