package criterion

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// eachOf builds a case from words such as "cup:3/3 spoon:1/3 by=ana": trials by
// target, and anything else that sessionOf understands.
func eachOf(criterion string, sessions ...string) Case {
	c := caseOf(criterion)
	c.Targets = []string{"cup", "spoon", "fork"}
	for i, words := range sessions {
		var rest []string
		var trials []Trial
		for word := range strings.FieldsSeq(words) {
			target, data, is := strings.Cut(word, ":")
			if !is {
				rest = append(rest, word)
				continue
			}
			trials = append(trials, sessionOf(strings.ReplaceAll(data, "+", " ")+" target="+target, 0, 1).Trials...)
		}
		s := sessionOf(strings.Join(rest, " "), i+1, i+1)
		s.Trials = trials
		c.Sessions = append(c.Sessions, s)
		c.AsOf = s.EndedAt.Add(1)
	}
	return c
}

// stands formats the target states: "met(s2) taught(1/2) waiting".
func stands(r Reading) string {
	var out []string
	for _, t := range r.Targets {
		switch {
		case t.MetBy != nil:
			out = append(out, fmt.Sprintf("%s(%s)", t.State, *t.MetBy))
		case t.State == TargetTaught:
			out = append(out, fmt.Sprintf("%s(%d/%d)", t.State, t.Run.Have, t.Run.Need))
		default:
			out = append(out, string(t.State))
		}
	}
	return strings.Join(out, " ")
}

func TestEvaluateEach(t *testing.T) {
	t.Parallel()
	twice := "100% independent in 2 sessions in a row"
	for _, test := range []struct {
		name      string
		criterion string
		atOnce    int
		sessions  []string
		stands    string
		short     string
		sessionsR string // counted ones: value and whether it qualifies
	}{
		{"nothing yet", twice, 1, nil, "taught(0/2) waiting waiting", "gathering", ""},
		{"the first is worked on", twice, 1, []string{"cup:3/3", "cup:2/3"}, "taught(0/2) waiting waiting", "gathering", "100+ 66.7"},
		{"the first is met, the second is introduced", twice, 1, []string{"cup:3/3", "cup:3/3"}, "met(s2) taught(0/2) waiting", "gathering", "100+ 100+"},
		{
			"met by the very first session", "100% independent in 1 session", 1,
			[]string{"cup:3/3", "cup:0/3 spoon:1/3"},
			"met(s1) taught(0/1) waiting", "gathering", "100+ 33.3",
		},
		{
			"two at once, each on its own", twice, 2,
			[]string{"cup:3/3 spoon:1/3", "cup:3/3 spoon:3/3", "spoon:2/3"},
			"met(s2) taught(0/2) taught(0/2)", "under_way", "66.7 100+ 66.7",
		},
		{
			"an interspersed known target changes nothing", twice, 1,
			[]string{"cup:3/3", "cup:3/3", "cup:0/1 spoon:3/3", "cup:0/1 spoon:3/3"},
			"met(s2) met(s4) taught(0/2)", "under_way", "100+ 100+ 100+ 100+",
		},
		{
			"trials of no target change nothing", twice, 1,
			[]string{"cup:3/3 moon:0/3", "cup:3/3 moon:0/3"},
			"met(s2) taught(0/2) waiting", "gathering", "100+ 100+",
		},
		{
			"all are met", twice, 3,
			[]string{"cup:1/1 spoon:1/1", "cup:1/1 spoon:1/1", "fork:1/1", "fork:1/1"},
			"met(s2) met(s2) met(s4)", "met@s4", "100+ 100+ 100+ 100+",
		},
		{
			"a refusal breaks the run of the target being taught", twice, 1,
			[]string{"cup:3/3", "early=distress", "cup:3/3"},
			"taught(1/2) waiting waiting", "under_way distress(s2)", "100+ no 100+",
		},
		{
			"a refusal before a target was introduced does not affect it", twice, 1,
			[]string{"early=distress", "cup:3/3", "cup:3/3"},
			"met(s3) taught(0/2) waiting", "gathering distress(s1)", "100+ 100+",
		},
		{
			"a flag of a waiting target is ignored", twice, 1,
			append([]string{"cup:1/3"}, times(14, "fork:1/3")...), "taught(0/2) waiting waiting", "gathering", "33.3",
		},
		{
			"a flag of a target being taught is raised", twice, 2,
			times(14, "cup:1/1 spoon:1/3"), "met(s2) taught(0/2) taught(0/2)",
			"stalled flat(" + span(1, 14) + ")", "50 50" + strings.Repeat(" 33.3", 12),
		},
		{
			"the minimum of trials applies to each target", twice + ", 3 or more trials", 2,
			[]string{"cup:3/3 spoon:2/2", "cup:3/3 spoon:3/3"},
			"met(s2) taught(1/2) taught(0/2)", "gathering", "100+ 100+",
		},
		{"same as each target", twice + ", each target", 1, []string{"cup:3/3", "cup:3/3"}, "met(s2) taught(0/2) waiting", "gathering", "100+ 100+"},
		{"void sessions are excluded", twice, 1, []string{"cup:3/3", "cup:0/3 void", "cup:3/3"}, "met(s3) taught(0/2) waiting", "gathering", "100+ 100+"},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			r := mustEach(t, eachOf(test.criterion, test.sessions...), test.atOnce)
			if got := stands(r); got != test.stands {
				t.Errorf("states %s, want %s", got, test.stands)
			}
			if got := inShort(r); got != test.short {
				t.Errorf("reading %q, want %q", got, test.short)
			}
			var sessions []string
			for _, s := range r.Sessions {
				switch {
				case s.Barred != "":
					sessions = append(sessions, "no")
				case s.Counted:
					text := strings.TrimSuffix(fmt.Sprintf("%.1f", *s.Value), ".0")
					if s.Qualifies {
						text += "+"
					}
					sessions = append(sessions, text)
				}
			}
			if got := strings.Join(sessions, " "); got != test.sessionsR {
				t.Errorf("sessions %q, want %q", got, test.sessionsR)
			}
		})
	}
}

func mustEach(t checker, c Case, atOnce int) Reading {
	t.Helper()
	r, err := EvaluateEach(c, atOnce)
	if err != nil {
		t.Fatalf("EvaluateEach: %v", err)
	}
	return r
}

// TestEachIsOneByOne: each target is met exactly where a case with only its
// trials is, and the rest of the reading follows from that.
func TestEachIsOneByOne(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase().Draw(t, "case")
		criterion, err := Parse(c.Criterion, Vocabulary{HelpLevels: c.HelpLevels, Targets: c.Targets})
		if err != nil {
			t.Fatal(err)
		}
		c.Targets = []string{"cup", "spoon"}
		atOnce := rapid.IntRange(1, 2).Draw(t, "at once")
		r := mustEach(t, c, atOnce)
		if !criterion.Goal.Measure.OnTrials() {
			if diff := cmp.Diff(mustEvaluate(t, c), r); diff != "" {
				t.Fatal(diff)
			}
			return
		}
		met, taught := 0, 0
		for i, target := range r.Targets {
			if want := onlyOf(t, c, c.Targets[i]).MetBy; cmp.Diff(want, target.MetBy) != "" {
				t.Fatalf("%s met by %v, alone by %v", target.Target, target.MetBy, want)
			}
			switch target.State {
			case TargetMet:
				met++
			case TargetTaught:
				taught++
			case TargetWaiting:
				if taught < atOnce {
					t.Fatalf("%s waits, though %d of %d are taught", target.Target, taught, atOnce)
				}
			}
		}
		if (met == len(c.Targets)) != (r.Status == StatusMet) || r.Run != (Run{met, len(c.Targets)}) || taught > atOnce {
			t.Fatalf("%d met, %d taught, but %+v", met, taught, r)
		}
		together := mustEvaluate(t, c)
		for i, s := range r.Sessions {
			if s.ID != together.Sessions[i].ID {
				t.Fatal("the order of sessions matters")
			}
			if s.Counted != (s.Why == Counted) || !s.Counted && (s.Value != nil || s.Over || s.Qualifies || s.Barred != "") {
				t.Fatalf("%+v is inconsistent", s)
			}
		}
		a, _ := r.Flag(Distress)
		b, _ := together.Flag(Distress)
		if diff := cmp.Diff(b, a); diff != "" {
			t.Fatalf("refusals should come from whole sessions: %s", diff)
		}
		c.Sessions = rapid.Permutation(c.Sessions).Draw(t, "order")
		if diff := cmp.Diff(r, mustEach(t, c, atOnce)); diff != "" {
			t.Fatal(diff)
		}
	})
}

// onlyOf evaluates the case without the other targets' trials.
func onlyOf(t checker, c Case, target string) Reading {
	t.Helper()
	c.Targets, c.Sessions = []string{target}, slices.Clone(c.Sessions)
	for i := range c.Sessions {
		c.Sessions[i].Trials = slices.DeleteFunc(slices.Clone(c.Sessions[i].Trials), func(t Trial) bool { return t.Target != target })
	}
	return mustEvaluate(t, c)
}

func TestHolds(t *testing.T) {
	t.Parallel()
	less := "90% in 2 sessions in a row"
	for _, test := range []struct {
		name, rule, planned string
		sessions            []string
		want                string
	}{
		{"with the planned help it is right", less, "model", []string{"3/10 with=model*7 plan=model", "0/10 with=gesture*10 plan=model"}, "s1 s2"},
		{"with more it is not", less, "model", []string{"3/10 with=full_physical*7 plan=model", "3/10 with=model*7 plan=model"}, ""},
		{"only since that help was planned", less, "model", []string{"10/10 plan=full_physical", "10/10 plan=model"}, ""},
		{"not after the plan has changed", less, "gesture", []string{"10/10 plan=model", "10/10 plan=model"}, ""},
		{"alone, for more help", "below 50% in 2 sessions in a row, 5 or more trials", "", []string{"2/10", "4/4", "1/10"}, "s1 s3"},
		{"nothing recorded", less, "model", nil, ""},
		{"no rule", "", "model", []string{"10/10 plan=model", "10/10 plan=model"}, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			sessions, holds, err := Holds(caseOf("100% independent in 9 sessions in a row", test.sessions...), test.rule, test.planned)
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.Join(sessions, " "); holds != (test.want != "") || holds && got != test.want {
				t.Errorf("%v %q, want %q", holds, got, test.want)
			}
		})
	}
	if _, _, err := Holds(caseOf("1 error in 1 session"), "often", ""); err == nil {
		t.Error("an invalid rule holds")
	}
}

// TestEachCombines checks what a step with several targets makes of their
// results: why a session does not count, what bars it, and what is flagged.
func TestEachCombines(t *testing.T) {
	t.Parallel()
	once := "100% independent in 1 session"
	for _, test := range []struct {
		name, criterion string
		sessions        []string
		later           int    // days from the last session to the evaluation
		whys            string // "-" for a session that counts, "!" if it is barred
		short           string
	}{
		{"void", once, []string{"cup:1/3 void", "cup:1/3"}, 0, "void -", "gathering"},
		{"only a target that waits", once, []string{"cup:1/3", "fork:1/3"}, 0, "- no_data", "gathering"},
		{"no trial", once, []string{"cup:1/3", ""}, 0, "- no_data", "gathering"},
		{
			"too few trials of each target, enough of all", once + ", 3 or more trials",
			[]string{"cup:2/2 spoon:2/2", "cup:2/2 spoon:2/3"},
			0, "too_few_trials -", "gathering",
		},
		{"the second target is refused", once, []string{"cup:1/3 spoon:1/3+declined=2"}, 0, "!declined", "gathering"},
		{"the first target is refused", once, []string{"cup:1/3+declined=2 spoon:1/3"}, 0, "!declined", "gathering"},
		{"a week without a session", once, []string{"cup:1/3 spoon:1/3"}, 9, "-", "idle idle(s1)"},
		{"a week after all are met", once, []string{"cup:3/3 spoon:3/3", "fork:3/3"}, 9, "- -", "met@s2"},
		{
			"a met target is not maintained", once,
			[]string{"cup:3/3", "cup:1/3 kind=maintenance", "spoon:1/3"},
			0, "- maintenance -", "gathering check_again(s2)",
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			c := eachOf(test.criterion, test.sessions...)
			c.AsOf = c.AsOf.AddDate(0, 0, test.later)
			r := mustEach(t, c, 2)
			whys := make([]string, len(r.Sessions))
			for i, s := range r.Sessions {
				switch {
				case s.Barred != NotBarred:
					whys[i] = "!" + string(s.Barred)
				case s.Counted:
					whys[i] = "-"
				default:
					whys[i] = string(s.Why)
				}
			}
			if got := strings.Join(whys, " "); got != test.whys {
				t.Errorf("sessions %q, want %q", got, test.whys)
			}
			if got := inShort(r); got != test.short {
				t.Errorf("reading %q, want %q", got, test.short)
			}
		})
	}
}
