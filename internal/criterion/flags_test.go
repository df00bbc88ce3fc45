package criterion

import (
	"strings"
	"testing"
)

// flagCase is a case in short notation and its expected reading.
type flagCase struct {
	name      string
	criterion string
	sessions  []string
	want      string
	change    func(c *Case)
}

func checkFlags(t *testing.T, cases []flagCase) {
	t.Helper()
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			criterion := c.criterion
			if criterion == "" {
				criterion = "80% in 3 sessions"
			}
			input := caseOf(criterion, c.sessions...)
			if c.change != nil {
				c.change(&input)
			}
			if got := inShort(mustEvaluate(t, input)); got != c.want {
				t.Errorf("\n got %s\nwant %s", got, c.want)
			}
		})
	}
}

func off(kinds ...FlagKind) func(c *Case) {
	return func(c *Case) { c.Rules.Off = kinds }
}

func TestFalling(t *testing.T) {
	t.Parallel()
	eight := join(times(5, "8/10"), times(3, "5/10"))
	barred := join(eight, []string{"9/10 early=distress"})
	checkFlags(t, []flagCase{
		{name: "80 to 50", criterion: "90% in 3 sessions", sessions: eight, want: "stalled falling(" + span(1, 8) + ")"},
		{name: "seven sessions are too few", criterion: "90% in 3 sessions", sessions: eight[1:], want: "under_way"},
		{name: "by exactly 25 points", criterion: "90% in 3 sessions", sessions: join(times(5, "80/100"), times(3, "55/100")), want: "stalled falling(" + span(1, 8) + ")"},
		{name: "80 to 56.7", criterion: "90% in 3 sessions", sessions: join(times(5, "8/10"), series("6/10 6/10 5/10")), want: "under_way"},
		{name: "one not worse than the median", sessions: series("8/10 8/10 5/10 5/10 5/10 4/10 5/10 0/10"), want: "under_way"},
		{name: "the latest qualifies", criterion: "50% in 9 sessions", sessions: join(times(5, "9/10"), times(3, "5/10")), want: "under_way"},
		{
			name: "based on the last eleven", criterion: "90% in 3 sessions",
			sessions: join([]string{"0/10"}, times(8, "8/10"), times(3, "5/10")), want: "stalled falling(" + span(2, 12) + ")", change: off(Flat),
		},
		{name: "a good spell nine before is ignored", criterion: "99% in 3 sessions", sessions: join(times(2, "9/10"), times(8, "6/10"), times(3, "4/10")), want: "under_way", change: off(Flat)},
		{
			name: "a barred session after it does not qualify", criterion: "50% in 9 sessions",
			sessions: join(times(5, "9/10"), times(3, "5/10"), barred[8:]), want: "stalled falling(" + span(1, 8) + ") distress(s9)",
		},
		{name: "off", criterion: "90% in 3 sessions", sessions: eight, want: "under_way", change: off(Falling)},
		{
			name: "a rate by a quarter", criterion: "20 per minute in 3 sessions",
			sessions: join(times(5, "count=8/60"), times(3, "count=6/60")), want: "stalled falling(" + span(1, 8) + ")",
		},
		{
			name: "a rate by less than a quarter", criterion: "200 per minute in 3 sessions",
			sessions: join(times(5, "count=80/60"), series("count=60/60 count=60/60 count=61/60")), want: "under_way",
		},
		{
			name: "errors growing", criterion: "at most 1 error in 3 sessions",
			sessions: join(times(5, "8/10"), times(3, "6/10")), want: "stalled falling(" + span(1, 8) + ")",
		},
		{
			name: "latency running over the limit", criterion: "a response within 2 seconds in 3 sessions",
			sessions: join(all(times(5, "5/5"), "lat=4"), all(times(3, "5/5"), "over")),
			want:     "stalled falling(" + span(1, 8) + ") slower(" + span(1, 8) + ")",
		},
		{
			name: "latency over the limit before", criterion: "a response within 2 seconds in 3 sessions",
			sessions: join([]string{"5/5 over"}, all(times(4, "5/5"), "lat=4"), all(times(3, "5/5"), "lat=9")),
			want:     "under_way",
		},
		{
			name:     "a change of planned help starts over",
			sessions: join(all(times(5, "7/10"), "plan=model"), times(3, "3/10")),
			want:     "under_way",
		},
		{
			name:     "probes are ignored",
			sessions: join(times(5, "7/10"), all(times(3, "2/10"), "kind=probe")),
			want:     "under_way",
		},
		{
			name: "probes only", criterion: "80% in 3 sessions, probes only",
			sessions: all(join(times(5, "7/10"), times(3, "2/10")), "kind=probe"),
			want:     "stalled falling(" + span(1, 8) + ")",
		},
	})
}

func TestFlatAndUneven(t *testing.T) {
	t.Parallel()
	uneven := series("5/10 8/10 5/10 5/10 8/10 5/10 5/10 8/10 5/10 8/10 5/10 5/10")
	checkFlags(t, []flagCase{
		{name: "flat at twelve", sessions: times(12, "5/10"), want: "stalled flat(" + span(1, 12) + ")"},
		{name: "not at eleven", sessions: times(11, "5/10"), want: "under_way"},
		{name: "based on the last eighteen", sessions: times(19, "5/10"), want: "stalled flat(" + span(2, 19) + ")"},
		{name: "a gain of exactly 10 points is none", sessions: join(times(8, "4/10"), times(4, "5/10")), want: "stalled flat(" + span(1, 12) + ")"},
		{name: "a gain of 12.5 points", sessions: join(times(8, "40/100"), times(4, "525/1000")), want: "under_way"},
		{name: "the middle is in neither third", sessions: join(times(5, "4/10"), times(7, "7/10"), times(5, "5/10")), want: "stalled flat(" + span(1, 17) + ")"},
		{name: "thirteen of five trials are too few", sessions: times(13, "2/5"), want: "under_way"},
		{name: "fourteen of five trials", sessions: times(14, "2/5"), want: "stalled flat(" + span(1, 14) + ")"},
		{name: "twelve of eight trials", sessions: times(12, "4/8"), want: "stalled flat(" + span(1, 12) + ")"},
		{name: "twelve of seven trials", sessions: times(12, "3/7"), want: "under_way"},
		{name: "thirteen of seven trials", sessions: times(13, "3/7"), want: "stalled flat(" + span(1, 13) + ")"},
		{name: "exactly ninety trials", sessions: join(times(6, "4/8"), times(6, "3/7")), want: "stalled flat(" + span(1, 12) + ")"},
		{name: "a steady rise", sessions: series("2/10 2/10 2/10 3/10 3/10 3/10 4/10 4/10 4/10 5/10 5/10 5/10 6/10 6/10 6/10"), want: "under_way"},
		{
			name:     "risen, then level, at session 20",
			sessions: join(series("1/10 1/10 2/10 3/10 4/10 5/10"), times(14, "6/10")), want: "under_way", change: off(Long),
		},
		{
			name:     "risen, then level, at session 22",
			sessions: join(series("1/10 1/10 2/10 3/10 4/10 5/10"), times(16, "6/10")),
			want:     "stalled flat(" + span(5, 22) + ") long(" + span(1, 22) + ")",
		},
		{name: "uneven", sessions: uneven, want: "stalled uneven(" + span(1, 12) + ")"},
		{name: "the last qualifies", sessions: append(uneven[:11:11], "8/10"), want: "under_way"},
		{name: "one qualified, but not among the last eight", sessions: join(series("5/10 5/10 8/10"), times(9, "5/10")), want: "stalled flat(" + span(1, 12) + ")"},
		{
			name: "the window was satisfied, breadth not", criterion: "80% in 2 sessions, across 2 people",
			sessions: all(join(times(6, "5/10"), series("9/10 9/10"), times(4, "5/10")), "by=ana"), want: "under_way",
		},
		{name: "off", sessions: times(12, "5/10"), want: "under_way", change: off(Flat)},
		{
			name: "with planned help, rising counts",
			sessions: join(times(4, "0/10 with=model*4 plan=model"), times(4, "0/10 with=model*5 plan=model"),
				times(4, "0/10 with=model*6 plan=model")),
			want: "under_way",
		},
		{
			name: "with planned help, level at 80", sessions: times(12, "0/10 with=gesture*8 plan=model"),
			want: "stalled flat(" + span(1, 12) + ")",
		},
		{
			name: "with planned help, level at 90 it is stuck, not flat", sessions: times(12, "0/10 with=gesture*9 plan=model"),
			want: "stalled help_stuck(" + span(7, 12) + ")",
		},
		{
			name:     "with planned help, at 90 in the last four sessions",
			sessions: join(times(14, "0/20 with=gesture*17 plan=model"), times(4, "0/20 with=gesture*18 plan=model")), want: "under_way",
		},
		{
			name:     "with planned help, at 90 in the last three sessions",
			sessions: join(times(15, "0/20 with=gesture*17 plan=model"), times(3, "0/20 with=gesture*18 plan=model")),
			want:     "stalled flat(" + span(1, 18) + ")",
		},
		{
			name: "more help than planned does not count", sessions: times(12, "3/10 with=full_physical*7 plan=model"),
			want: "stalled flat(" + span(1, 12) + ")",
		},
		{
			name: "a change of planned help starts over", sessions: join(all(times(8, "5/10"), "plan=model"), times(8, "5/10")),
			want: "under_way",
		},
		{name: "probes are ignored", sessions: append(times(11, "5/10"), "5/10 kind=probe"), want: "under_way"},
		{
			name: "lower is better", criterion: "at most 20% in 3 sessions",
			sessions: join(times(4, "5/10"), times(8, "4/10")), want: "stalled flat(" + span(1, 12) + ")",
		},
		{
			name: "duration gaining exactly a tenth", criterion: "60 seconds in total in 3 sessions",
			sessions: join(times(8, "dur=20"), times(4, "dur=22")), want: "stalled flat(" + span(1, 12) + ")",
		},
		{
			name: "duration gaining more than a tenth", criterion: "60 seconds in total in 3 sessions",
			sessions: join(times(8, "dur=20"), times(4, "dur=22.1")), want: "under_way",
		},
		{
			name: "from nothing, anything is a gain", criterion: "4 per minute in 3 sessions",
			sessions: join(times(11, "count=0/60"), series("count=1/60")), want: "under_way",
		},
		{
			name: "from nothing to nothing", criterion: "4 per minute in 3 sessions",
			sessions: times(12, "count=0/60"), want: "stalled flat(" + span(1, 12) + ")",
		},
		{name: "thirteen first trials", criterion: "first trial correct in 3 sessions", sessions: times(13, "0/10"), want: "under_way"},
		{
			name: "fourteen first trials", criterion: "first trial correct in 3 sessions", sessions: times(14, "0/10"),
			want: "stalled flat(" + span(1, 14) + ")",
		},
		{
			name: "thirteen with each target", criterion: "80% in 3 sessions, each target", want: "under_way",
			sessions: times(13, "5/10 target=cup"), change: cupOnly,
		},
		{
			name: "fourteen with each target", criterion: "80% in 3 sessions, each target", want: "stalled flat(" + span(1, 14) + ")",
			sessions: times(14, "5/10 target=cup"), change: cupOnly,
		},
		{
			name: "latency over the limit throughout", criterion: "a response within 2 seconds in 3 sessions",
			sessions: times(12, "8/8 over"), want: "stalled flat(" + span(1, 12) + ")",
		},
		{
			name: "latency, only the older third over the limit", criterion: "a response within 2 seconds in 3 sessions",
			sessions: join([]string{"8/8 over"}, times(11, "8/8 lat=9")), want: "under_way",
		},
		{
			name: "the second goal gains", criterion: "80% in 3 sessions, and a response within 5 seconds",
			sessions: join(times(4, "9/10 lat=40"), times(4, "9/10 lat=30"), times(4, "9/10 lat=20")),
			want:     "under_way",
		},
		{
			name: "the second goal does not", criterion: "80% in 3 sessions, and a response within 5 seconds",
			sessions: times(12, "9/10 lat=20"), want: "stalled flat(" + span(1, 12) + ")",
		},
		{
			name: "one goal gains, the other does not", criterion: "80% in 3 sessions, and a response within 5 seconds",
			sessions: join(times(8, "3/10 lat=20"), times(4, "5/10 lat=20")), want: "under_way",
		},
	})
}

// cupOnly leaves one target to a case.
func cupOnly(c *Case) { c.Targets = []string{"cup"} }

func TestLong(t *testing.T) {
	t.Parallel()
	// A criterion once satisfied except for breadth is neither flat nor uneven
	// during the eight sessions that include the satisfied window, but it can
	// be long.
	words := all(join(times(13, "5/10"), series("9/10 9/10 4/10 4/10 4/10 4/10 4/10")), "by=ana")
	checkFlags(t, []flagCase{
		{
			name: "at twenty", criterion: "80% in 2 sessions, across 2 people", sessions: words,
			want: "stalled long(" + span(1, 20) + ")",
		},
		{
			name: "not at nineteen", criterion: "80% in 2 sessions, across 2 people", sessions: words[1:],
			want: "under_way",
		},
		{
			name: "at its own number", criterion: "80% in 2 sessions, across 2 people", sessions: words[8:],
			want:   "stalled long(" + span(1, 12) + ")",
			change: func(c *Case) { c.Rules = Rules{Long: pointer(8)} },
		},
		{
			name: "its own number, but too few to compare", criterion: "80% in 2 sessions, across 2 people", sessions: words[9:],
			want:   "under_way",
			change: func(c *Case) { c.Rules = Rules{Long: pointer(8)} },
		},
		{
			name: "25 sessions, the first seven lower", sessions: join(times(7, "1/10"), times(18, "5/10")),
			want: "stalled flat(" + span(8, 25) + ") long(" + span(1, 25) + ")",
		},
	})
}

func TestClose(t *testing.T) {
	t.Parallel()
	near := series("9/10 10/10 9/10 10/10 9/10 9/10 10/10 9/10 10/10 9/10 9/10 10/10 9/10 9/10")
	all100 := "100% in 3 sessions"
	checkFlags(t, []flagCase{
		{name: "in the place of uneven", criterion: all100, sessions: near, want: "under_way close(" + span(1, 14) + ")"},
		{name: "in the place of flat", criterion: all100, sessions: times(12, "9/10"), want: "under_way close(" + span(1, 12) + ")"},
		{name: "in the place of long", criterion: all100, sessions: times(20, "9/10"), want: "under_way close(" + span(3, 20) + ")"},
		{name: "not before there is enough", criterion: all100, sessions: times(11, "9/10"), want: "under_way"},
		{name: "not while gaining", criterion: all100, sessions: join(times(4, "7/10"), times(8, "9/10")), want: "under_way"},
		{name: "not when the last qualifies", criterion: all100, sessions: append(near[:13:13], "10/10"), want: "under_way"},
		{name: "a mean of 87.5 is stuck", criterion: all100, sessions: join(times(8, "9/10"), series("9/10 8/10 9/10 9/10 9/10 8/10")), want: "stalled flat(" + span(1, 14) + ")"},
		{name: "above leaves no room either", criterion: "above 90% in 3 sessions", sessions: times(12, "9/10"), want: "under_way close(" + span(1, 12) + ")"},
		{
			name: "one error is allowed", criterion: "90% in 4 sessions",
			sessions: series("9/10 9/10 8/10 9/10 9/10 8/10 9/10 9/10 8/10 10/10 9/10 8/10 9/10 8/10"),
			want:     "stalled uneven(" + span(1, 14) + ")",
		},
		{
			name: "90 % of five allows none", criterion: "90% in 3 sessions",
			sessions: series("4/5 5/5 4/5 5/5 4/5 5/5 5/5 4/5 5/5 5/5 4/5 5/5 5/5 4/5"), want: "under_way close(" + span(1, 14) + ")",
		},
		{
			name: "room for an error in one of the last eight", criterion: "90% in 14 sessions",
			sessions: join(times(7, "5/5"), []string{"9/10"}, times(5, "5/5"), []string{"4/5"}), want: "stalled uneven(" + span(1, 14) + ")",
		},
		{name: "switched off, nothing takes its place", criterion: all100, sessions: times(20, "9/10"), want: "under_way", change: off(Close)},
		{name: "what it replaces is switched off", criterion: all100, sessions: times(12, "9/10"), want: "under_way", change: off(Flat)},
		{name: "one of those it replaces is not", criterion: all100, sessions: times(20, "9/10"), want: "under_way close(" + span(3, 20) + ")", change: off(Flat)},
		{
			name: "not with planned help", criterion: all100, sessions: times(12, "0/10 with=model*9 plan=model"),
			want: "stalled long(" + span(1, 12) + ")", change: func(c *Case) { c.Rules = Rules{Long: pointer(12), Off: []FlagKind{HelpStuck}} },
		},
		{
			name: "not with a second goal", criterion: all100 + ", and a response within 5 seconds",
			sessions: times(12, "9/10 lat=1"), want: "stalled flat(" + span(1, 12) + ")",
		},
		{
			name: "not with each target", criterion: all100 + ", each target", sessions: times(14, "9/10 target=cup"),
			want: "stalled flat(" + span(1, 14) + ")", change: cupOnly,
		},
		{name: "not for first trials", criterion: "first trial correct in 3 sessions", sessions: times(14, "0/1"), want: "stalled flat(" + span(1, 14) + ")"},
		{name: "not for at most", criterion: "at most 0% in 3 sessions", sessions: times(14, "1/10"), want: "stalled flat(" + span(1, 14) + ")"},
	})
}

func TestFloor(t *testing.T) {
	t.Parallel()
	low := times(8, "2/10")
	checkFlags(t, []flagCase{
		{name: "below 30", sessions: low, want: "stalled floor(" + span(1, 8) + ")"},
		{name: "seven are too few", sessions: low[1:], want: "under_way"},
		{name: "based on the last eight", sessions: join([]string{"4/10"}, low), want: "stalled floor(" + span(2, 9) + ")"},
		{name: "one at 30 itself", sessions: append(low[:7:7], "3/10"), want: "under_way"},
		{name: "rising by 10 points", sessions: join(times(4, "1/10"), times(4, "2/10")), want: "under_way"},
		{name: "rising by less", sessions: join(times(4, "11/100"), times(4, "20/100")), want: "stalled floor(" + span(1, 8) + ")"},
		{name: "its own floor", sessions: low, want: "under_way", change: func(c *Case) { c.Rules.FloorPercent = pointer(ratOf("20")) }},
		{name: "chance of two and ten points", sessions: times(8, "5/10 choices=2"), want: "stalled floor(" + span(1, 8) + ")", change: off(Guessing)},
		{name: "not when choices differ", sessions: append(times(7, "5/10 choices=2"), "5/10 choices=3"), want: "under_way"},
		{name: "not when one is unknown", sessions: append(times(7, "5/10 choices=2"), "5/10"), want: "under_way"},
		{name: "not for at most", criterion: "at most 5% in 3 sessions", sessions: low, want: "under_way"},
		{name: "not for errors", criterion: "at most 1 error in 3 sessions", sessions: low, want: "under_way"},
		{name: "for above", criterion: "above 80% in 3 sessions", sessions: low, want: "stalled floor(" + span(1, 8) + ")"},
		{name: "off", sessions: low, want: "under_way", change: off(Floor)},
	})
}

func TestHelp(t *testing.T) {
	t.Parallel()
	bound := times(6, "4/10 with=model*5")
	stuck := times(6, "0/10 with=model*9 plan=model")
	checkFlags(t, []flagCase{
		{name: "bound", sessions: bound, want: "stalled help_bound(" + span(1, 6) + ")"},
		{name: "five sessions are too few", sessions: bound[1:], want: "under_way"},
		{name: "one session under 90", sessions: append(bound[:5:5], "4/10 with=model*4"), want: "under_way"},
		{name: "one session without help", sessions: append(times(5, "4/10 with=model*5"), "9/10"), want: "under_way"},
		{
			name:     "trend of 3/15",
			sessions: []string{"4/10 with=model*5", "4/10 with=model*5", "4/10 with=model*5", "4/10 with=model*5", "3/10 with=model*6", "5/10 with=model*4"},
			want:     "stalled help_bound(" + span(1, 6) + ")",
		},
		{
			name:     "alone is rising",
			sessions: []string{"1/10 with=model*9", "2/10 with=model*8", "3/10 with=model*7", "4/10 with=model*6", "5/10 with=model*5", "6/10 with=model*4"},
			want:     "under_way",
		},
		{name: "not for a criterion with help", criterion: "95% with help up to model in 3 sessions", sessions: bound, want: "under_way"},
		{name: "not for at most", criterion: "at most 10% in 3 sessions", sessions: bound, want: "under_way"},
		{
			name: "not for each target", criterion: "80% in 3 sessions, each target",
			sessions: bound, want: "under_way", change: func(c *Case) {
				c.Targets = []string{"cup"}
				for i := range c.Sessions {
					for j := range c.Sessions[i].Trials {
						c.Sessions[i].Trials[j].Target = "cup"
					}
				}
			},
		},
		{name: "stuck", sessions: stuck, want: "stalled help_stuck(" + span(1, 6) + ")"},
		{name: "stuck needs six", sessions: stuck[1:], want: "under_way"},
		{name: "stuck needs 90", sessions: append(stuck[:5:5], "0/10 with=model*8 plan=model"), want: "under_way"},
		{name: "one alone qualifies", sessions: append(stuck[:5:5], "9/10 plan=model"), want: "under_way"},
		{name: "stuck, off", sessions: stuck, want: "under_way", change: off(HelpStuck)},
	})
}

func TestGuessing(t *testing.T) {
	t.Parallel()
	// 31 of 50 with two choices: 5.95 %, 32: 3.25 % (binomial tables, recalled).
	half := append(times(3, "6/10 choices=2"), series("6/10 6/10 6/10 6/10 7/10")...)
	for i := 3; i < 8; i++ {
		half[i] += " choices=2"
	}
	better := append(half[:7:7], "8/10 choices=2")
	guess := off(Flat, Floor, Uneven)
	checkFlags(t, []flagCase{
		{name: "31 of 50", criterion: "90% in 3 sessions", sessions: half, want: "stalled guessing(" + span(4, 8) + ")", change: guess},
		{name: "32 of 50", criterion: "90% in 3 sessions", sessions: better, want: "under_way", change: guess},
		{name: "seven sessions are too few", criterion: "90% in 3 sessions", sessions: half[1:], want: "under_way", change: guess},
		{name: "choices differ", criterion: "90% in 3 sessions", sessions: append(half[:7:7], "5/10 choices=3"), want: "under_way", change: guess},
		{name: "the goal is chance itself", criterion: "50% in 9 sessions", sessions: half, want: "under_way", change: guess},
		{name: "nineteen trials", criterion: "90% in 3 sessions", sessions: append(times(7, "2/4 choices=2"), "1/3 choices=2"), want: "under_way", change: guess},
		{name: "twenty trials", criterion: "90% in 3 sessions", sessions: times(8, "2/4 choices=2"), want: "stalled guessing(" + span(4, 8) + ")", change: guess},
		{name: "planned help", criterion: "90% in 3 sessions", sessions: all(times(8, "5/10 choices=2"), "plan=model"), want: "under_way", change: guess},
		{
			name: "correct with the criterion's help", criterion: "90% with help up to model in 3 sessions",
			sessions: times(8, "1/10 with=model*4 choices=2"), want: "stalled guessing(" + span(4, 8) + ")", change: guess,
		},
		{name: "at most", criterion: "at most 10% in 3 sessions", sessions: times(8, "5/10 choices=2"), want: "under_way", change: guess},
	})
}

func TestStepBackFlag(t *testing.T) {
	t.Parallel()
	rule := func(text string) func(c *Case) {
		return func(c *Case) { c.StepBack = text }
	}
	two := "below 50% in 2 sessions in a row"
	checkFlags(t, []flagCase{
		{name: "two below", sessions: series("6/10 4/10 4/10"), want: "stalled step_back(s2 s3)", change: rule(two)},
		{name: "50 is not below", sessions: series("6/10 4/10 5/10"), want: "under_way", change: rule(two)},
		{name: "not in a row", sessions: series("4/10 6/10 4/10"), want: "under_way", change: rule(two)},
		{name: "long ago", sessions: series("4/10 4/10 6/10"), want: "under_way", change: rule(two)},
		{name: "the latest two of three", sessions: series("4/10 4/10 4/10"), want: "stalled step_back(s2 s3)", change: rule(two)},
		{name: "a probe after it", sessions: append(series("6/10 4/10 4/10"), "9/10 kind=probe"), want: "stalled step_back(s2 s3)", change: rule(two)},
		{name: "a barred one after it", sessions: append(series("6/10 4/10 4/10"), "9/10 declined=4"), want: "stalled step_back(s2 s3)", change: rule(two)},
		{
			name: "of the last", sessions: series("4/10 6/10 4/10"),
			want: "stalled step_back(s1 s3)", change: rule("below 50% in 2 of the last 3 sessions"),
		},
		{
			name: "too few trials change nothing", sessions: series("4/10 1/3 4/10"),
			want: "stalled step_back(s1 s3)", change: rule(two + ", 5 or more trials"),
		},
		{
			name: "the latest session has too few trials", sessions: series("4/10 4/10 1/3"),
			want: "under_way", change: rule(two + ", 5 or more trials"),
		},
		{
			name: "with planned help rule values count", sessions: times(3, "0/10 with=model*6 plan=model"),
			want: "under_way", change: rule(two),
		},
		{
			name: "a different measure, no data in the latest session", sessions: series("count=1/60 count=1/60"),
			criterion: "5 per minute in 3 sessions", want: "gathering", change: rule("3 errors in 2 sessions"),
		},
		{
			name: "a different measure", sessions: series("9/10 9/10 9/10"), criterion: "95% in 3 sessions",
			want: "stalled step_back(s2 s3)", change: rule("1 error in 2 sessions"),
		},
		{name: "off", sessions: series("6/10 4/10 4/10"), want: "under_way", change: func(c *Case) {
			c.StepBack = two
			c.Rules.Off = []FlagKind{StepBack}
		}},
	})
}

func TestDiffers(t *testing.T) {
	t.Parallel()
	words := func(list ...string) []string { return list }
	turns := func(n int, mine, theirs string) (out []string) {
		for i := range n {
			out = append(out, []string{mine, theirs}[i%2])
		}
		return out
	}
	ten := turns(10, "9/10 by=ana", "5/10 by=ben")
	block := join(all(times(5, "5/10"), "by=ben"), all(times(5, "9/10"), "by=ana"))
	handover := words("1/10 by=ana", "1/10 by=ana", "2/10 by=ana", "2/10 by=ana", "3/10 by=ana", "6/10 by=ben", "5/10 by=ana",
		"8/10 by=ben", "8/10 by=ben", "9/10 by=ben", "9/10 by=ben", "9/10 by=ben")
	criterion := "95% in 3 sessions"
	quiet := off(Flat, Falling, Floor)
	checkFlags(t, []flagCase{
		// Eight: 2 and 2 in each half, 6 × 6 ways, 2 of them as large: 5.6 %.
		{name: "eight", criterion: criterion, sessions: ten[:8], want: "under_way", change: quiet},
		// Nine: 2 of 4 and 3 of 5, 1 of 60 ways; without the latest 2 of 36.
		{name: "nine", criterion: criterion, sessions: ten[:9], want: "under_way", change: quiet},
		// Ten: 3 of 5 and 2 of 5, 1 of 100 ways; without the latest 1 of 60.
		{name: "ten", criterion: criterion, sessions: ten, want: "under_way differs_by_person(" + span(1, 10) + ")", change: quiet},
		{name: "one group entirely before the other", criterion: criterion, sessions: block, want: "under_way", change: quiet},
		{name: "a handover while the child rises", criterion: criterion, sessions: handover, want: "under_way", change: quiet},
		{
			name: "by 20 points", criterion: criterion, sessions: turns(10, "7/10 by=ana", "5/10 by=ben"),
			want: "under_way differs_by_person(" + span(1, 10) + ")", change: quiet,
		},
		{name: "by less", criterion: criterion, sessions: turns(10, "69/100 by=ana", "50/100 by=ben"), want: "under_way", change: quiet},
		{
			name: "an empty name is among the others", criterion: criterion, sessions: turns(10, "9/10 by=ana", "5/10"),
			want: "under_way differs_by_person(" + span(1, 10) + ")", change: quiet,
		},
		{
			name: "by place", criterion: criterion, sessions: append(turns(10, "9/10 place=home", "5/10 place=park"), "1/10"),
			want: "under_way differs_by_place(" + span(1, 10) + ")", change: quiet,
		},
		{
			name: "ten at most", criterion: criterion, sessions: append(words("9/10 by=ana", "9/10 by=ana", "9/10 by=ana"), ten...),
			want: "under_way differs_by_person(" + span(4, 13) + ")", change: quiet,
		},
		{
			name: "not with each target", criterion: criterion + ", each target", sessions: all(ten, "target=cup"),
			want: "under_way", change: func(c *Case) { quiet(c); cupOnly(c) },
		},
		{name: "not for errors", criterion: "0 errors in 3 sessions", sessions: ten, want: "under_way", change: quiet},
		{name: "for at most", criterion: "at most 10% in 3 sessions", sessions: ten, want: "under_way differs_by_person(" + span(1, 10) + ")", change: quiet},
		{name: "off", criterion: criterion, sessions: ten, want: "under_way", change: off(Flat, Falling, DiffersByPerson)},
	})
}

func TestSlower(t *testing.T) {
	t.Parallel()
	latency := func(seconds string) []string {
		var out []string
		for s := range strings.FieldsSeq(seconds) {
			if s == "over" {
				out = append(out, "5/5 over")
				continue
			}
			out = append(out, "5/5 lat="+s)
		}
		return out
	}
	criterion := "100% in 20 sessions, and a response within 5 seconds"
	checkFlags(t, []flagCase{
		{name: "half as long again, and 10 s", criterion: criterion, sessions: latency("20 20 20 30 30 30"), want: "under_way slower(" + span(1, 6) + ")", change: off(Flat)},
		{name: "one just under", criterion: criterion, sessions: latency("20 20 20 30 29.9 30"), want: "under_way"},
		{name: "half again but not 10 s", criterion: criterion, sessions: latency("2 2 2 11 12 12"), want: "under_way"},
		{name: "10 s but not half again", criterion: criterion, sessions: latency("40 40 40 55 55 59"), want: "under_way"},
		{name: "over is more", criterion: criterion, sessions: latency("20 20 20 over over over"), want: "under_way slower(" + span(1, 6) + ")"},
		{name: "median over before", criterion: criterion, sessions: latency("over over 20 over over over"), want: "under_way"},
		{name: "five are too few", criterion: criterion, sessions: latency("20 20 30 30 30"), want: "under_way"},
		{name: "eight of nine", criterion: criterion, sessions: latency("1 20 20 20 20 20 30 30 30"), want: "under_way slower(" + span(2, 9) + ")", change: off(Flat)},
		{name: "no latency goal", criterion: "100% in 20 sessions", sessions: latency("20 20 20 30 30 30"), want: "under_way"},
		{name: "off", criterion: criterion, sessions: latency("20 20 20 30 30 30"), want: "under_way", change: off(Slower)},
	})
}

func TestOneSide(t *testing.T) {
	t.Parallel()
	checkFlags(t, []flagCase{
		{name: "fifteen of fifteen", sessions: times(3, "3/5 choices=3 pos=2"), want: "under_way one_side(" + span(1, 3) + ")"},
		{name: "fourteen", sessions: []string{"3/5 choices=3 pos=2", "3/5 choices=3 pos=2", "3/4 choices=3 pos=2"}, want: "under_way"},
		{
			name: "24 of 30", sessions: []string{"3/6 choices=3 pos=1", "3/8 choices=3 pos=2", "3/8 choices=3 pos=2", "3/8 choices=3 pos=2"},
			want: "under_way one_side(" + span(1, 4) + ")",
		},
		{name: "23 of 30", sessions: []string{"3/7 choices=3 pos=1", "3/8 choices=3 pos=2", "3/8 choices=3 pos=2", "3/7 choices=3 pos=2"}, want: "under_way"},
		{
			name:     "only the last 30 trials, in reverse order",
			sessions: []string{"3/10 choices=3 pos=1", "3/10 choices=3 pos=2", "3/10 choices=3 pos=2", "3/10 choices=3 pos=2"},
			want:     "under_way one_side(" + span(2, 4) + ")",
		},
		{
			name: "a session without positions is left out", sessions: []string{"3/8 choices=3 pos=2", "3/8", "3/8 choices=3 pos=2"},
			want: "under_way one_side(s1 s3)",
		},
		{
			name:     "only the last 30 trials, which begin within a session",
			sessions: []string{"3/6 choices=3 pos=1", "3/13 choices=3 pos=2", "3/12 choices=3 pos=2"},
			want:     "under_way one_side(" + span(1, 3) + ")",
			// Of the 31 trials, 7 are at position 1; the first of them is too old.
			change: func(c *Case) { c.Sessions[1].Trials[0].Position = 1 },
		},
		{name: "with help does not count", sessions: times(3, "0/5 with=model*5 choices=3 pos=2"), want: "under_way"},
		{name: "barred sessions do not count", sessions: times(3, "3/5 choices=3 pos=2 declined=3"), want: "under_way distress(" + span(1, 3) + ")"},
		{name: "off", sessions: times(3, "3/5 choices=3 pos=2"), want: "under_way", change: off(OneSide)},
	})
}

func TestDistress(t *testing.T) {
	t.Parallel()
	checkFlags(t, []flagCase{
		{name: "third from last", sessions: []string{"5/10 early=distress", "5/10", "5/10"}, want: "under_way distress(s1)"},
		{name: "fourth from last", sessions: []string{"5/10 early=distress", "5/10", "5/10", "5/10"}, want: "under_way"},
		{name: "a different reason", sessions: []string{"5/10 early=other", "5/10", "5/10"}, want: "under_way"},
		{name: "two with a fifth declined", sessions: []string{"8/8 declined=2", "8/8", "8/8", "8/8 declined=2", "5/10"}, want: "met@s3 distress(s1 s4)"},
		{name: "once only", sessions: []string{"5/8 declined=2", "5/8", "5/8", "5/8", "5/10"}, want: "under_way"},
		{name: "less than a fifth", sessions: []string{"5/9 declined=2", "5/8", "5/8", "5/9 declined=2", "5/10"}, want: "under_way"},
		{name: "one declined session is not two", sessions: []string{"5/8", "0/0 declined=1", "0/0 declined=1"}, want: "under_way"},
		{name: "one in each of five", sessions: times(5, "5/9 declined=1"), want: "under_way distress(" + span(1, 5) + ")"},
		{name: "one in each of four", sessions: times(4, "5/9 declined=1"), want: "under_way"},
		{name: "a void session", sessions: []string{"5/10", "5/10", "5/10 early=distress void"}, want: "gathering distress(s3)"},
		{name: "a future session", sessions: []string{"5/10", "5/10", "5/10", "5/10 early=distress"}, want: "under_way", change: func(c *Case) {
			c.AsOf = c.Sessions[2].EndedAt
		}},
		{name: "a baseline", sessions: []string{"5/10", "5/10", "5/10 early=distress kind=baseline"}, want: "gathering distress(s3)"},
		{name: "union", sessions: []string{"5/8 declined=2", "5/8", "5/8 declined=2", "5/10 early=distress", "5/10"}, want: "under_way distress(s1 s3 s4)"},
		{name: "off", sessions: []string{"5/10 early=distress", "5/10", "5/10"}, want: "under_way", change: off(Distress)},
		{name: "void trials are ignored", sessions: times(5, "5/9 declined=1"), want: "under_way", change: func(c *Case) {
			last := &c.Sessions[2]
			last.Trials[len(last.Trials)-1].Void = true
		}},
	})
}

func TestMaintenance(t *testing.T) {
	t.Parallel()
	met := times(3, "9/10")
	check := func(words ...string) []string { return join(met, all(words, "kind=maintenance")) }
	checkFlags(t, []flagCase{
		{name: "holds", sessions: check("8/10"), want: "met@s3"},
		{name: "not maintained", sessions: check("7/10"), want: "met@s3 check_again(s4)"},
		{name: "held before", sessions: check("9/10", "7/10"), want: "met@s3 check_again(s5)"},
		{name: "twice", sessions: check("7/10", "7/10"), want: "met@s3 slipping(s4 s5)"},
		{name: "twice not, then maintained again", sessions: check("7/10", "7/10", "8/10"), want: "met@s3"},
		{name: "slipping off", sessions: check("7/10", "7/10"), want: "met@s3", change: off(Slipping)},
		{name: "check again off", sessions: check("7/10"), want: "met@s3", change: off(CheckAgain)},
		{name: "a void one", sessions: check("7/10 void"), want: "met@s3"},
		{name: "one without data", sessions: check("7/10", "count=3/60"), want: "met@s3 check_again(s4)"},
		{name: "before it was met", sessions: append([]string{"7/10 kind=maintenance"}, met...), want: "met@s4"},
		{name: "never met", sessions: check("7/10")[2:], want: "gathering"},
		{name: "met by the first session", criterion: "80% in 1 session", sessions: check("7/10")[2:], want: "met@s1 check_again(s2)"},
		{name: "few trials count, nothing bars", criterion: "80% in 3 sessions, 5 or more trials", sessions: check("1/2 declined=3"), want: "met@s3 check_again(s4)"},
		{
			name: "both goals", criterion: "80% in 3 sessions, and a response within 5 seconds",
			sessions: join(all(met, "lat=3"), []string{"9/10 lat=8 kind=maintenance"}), want: "met@s3 check_again(s4)",
		},
		{name: "in the future", sessions: check("7/10"), want: "met@s3", change: func(c *Case) { c.AsOf = c.Sessions[2].EndedAt }},
	})
}
