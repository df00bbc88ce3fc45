package writing

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/criterion"
	"newel/internal/program"
)

// TestMends checks the nearest sound criteria: the first may need more trials,
// the second does not.
func TestMends(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		criterion       string
		trials, choices int
		targets         int
		want            []string
	}{
		{"80% in 3 sessions, 5 or more trials", 5, 0, 0, []string{"80% independent in 3 sessions in a row, 6 or more trials", "80% independent in 4 sessions in a row, 5 or more trials"}},
		{"80% in 2 sessions", 5, 0, 0, []string{"80% independent in 3 sessions in a row, 6 or more trials", "80% independent in 4 sessions in a row, 5 or more trials"}},
		{"80% in 2 sessions", 6, 0, 0, []string{"80% independent in 3 sessions in a row, 6 or more trials"}},
		{"80% in 2 sessions, across 3 days", 10, 0, 0, []string{"80% independent in 3 sessions in a row, 10 or more trials, across 3 days"}},
		{"75% in 3 sessions", 4, 0, 0, []string{"75% independent in 3 sessions in a row, 6 or more trials", "75% independent in 5 sessions in a row, 4 or more trials"}},
		{"87% in 2 sessions", 8, 0, 0, []string{"87% independent in 3 sessions in a row, 8 or more trials"}},
		{"90% in 2 sessions", 10, 0, 0, []string{"90% independent in 3 sessions in a row, 10 or more trials"}},
		{"90% with help up to show in 2 sessions", 10, 0, 0, []string{"90% with help up to show in 3 sessions in a row, 10 or more trials"}},
		{"at most 20% in 2 sessions", 6, 0, 0, []string{"at most 20% independent in 3 sessions in a row, 6 or more trials"}},
		// Each of five targets keeps its share of the trials.
		{"80% in 2 sessions", 5, 0, 5, []string{"80% independent in 4 sessions in a row, 5 or more trials"}},
		// A child who has the skill waits too long.
		{"80% in 3 sessions", 4, 0, 0, []string{"80% independent in 3 of the last 4 sessions, 4 or more trials"}},
		{"100% in 3 sessions", 10, 0, 0, []string{"100% independent in 3 of the last 4 sessions, 10 or more trials"}},
		{"100% in 3 sessions", 20, 0, 0, []string{"100% independent in 2 of the last 4 sessions, 20 or more trials"}},
		// Too few trials for the goal.
		{"100% in 3 sessions", 3, 0, 0, []string{"100% independent in 4 of the last 5 sessions, 6 or more trials", "90% independent in 4 sessions in a row, 3 or more trials"}},
		{"100% in 3 sessions", 2, 0, 0, []string{"80% independent in 4 sessions in a row, 2 or more trials"}},
		{"100% in 3 sessions", 1, 0, 0, nil},
		// Sound.
		{"80% in 3 sessions", 6, 0, 0, nil},
		{"80% in 2 sessions", 50, 0, 0, nil},
		// With two choices, a guesser should not meet the mend either.
		{"66% in 1 session", 11, 0, 0, []string{"66% independent in 2 sessions in a row, 11 or more trials"}},
		{"66% in 1 session", 11, 2, 0, []string{"66% independent in 3 sessions in a row, 11 or more trials"}},
		// A guesser would meet all that are sound.
		{"60% in 3 of the last 5 sessions", 5, 2, 0, []string{"60% independent in 3 of the last 4 sessions, 6 or more trials", "60% independent in 4 sessions in a row, 5 or more trials"}},
	} {
		t.Run(fmt.Sprintf("%s, %d trials, %d targets, %d choices", c.criterion, c.trials, c.targets, c.choices), func(t *testing.T) {
			t.Parallel()
			d := sound()
			s := &d.Strands[0].Steps[0]
			s.Criterion, s.Trials, s.Choices = c.criterion, c.trials, c.choices
			for i := range c.targets {
				s.Targets = append(s.Targets, targets(fmt.Sprintf("thing %d", i))...)
			}
			l := luckFor(t, &d, s)
			var got []string
			for _, m := range l.Mends {
				got = append(got, m.Criterion.String())
				if !m.Luck.Sound() || m.Criterion.Trials != m.Trials || m.Luck.Unlearnt.Within10 > 0.1 || m.Luck.Learnt.Within10 < 0.8 {
					t.Errorf("not sound: %+v", m)
				}
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func luckFor(t *testing.T, d *program.Document, s *program.Step) *Luck {
	t.Helper()
	c, err := criterion.Parse(s.Criterion, d.Vocabulary(s))
	if err != nil {
		t.Fatal(err)
	}
	l := luckOf(d, s, c, s.Trials)
	if l == nil {
		t.Fatal("no luck")
	}
	return l
}

// TestLuckIsReviewed checks what Review says, and that each fix resolves it.
func TestLuckIsReviewed(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, criterion string
		trials          int
		says            []string
		fixes           []string
	}{
		{
			"lucky", "80% independent in 2 sessions in a row, 5 or more trials", 5,
			[]string{"check.lucky map[n:59 percent:60 sessions:10]"},
			[]string{
				"sound_more: 80% independent in 3 sessions in a row, 6 or more trials map[steps.u1.trials:6]",
				"sound: 80% independent in 4 sessions in a row, 5 or more trials map[]",
			},
		},
		{
			"slow", "100% independent in 3 sessions in a row, 10 or more trials", 10,
			[]string{"check.slow map[n:30 percent:95 sessions:10]"},
			[]string{"sound: 100% independent in 3 of the last 4 sessions, 10 or more trials map[]"},
		},
		{
			"too few trials for the goal", "100% independent in 3 sessions in a row, 2 or more trials", 2,
			[]string{"check.lucky map[n:77 percent:80 sessions:10]", "check.luck_other_goal map[sessions:5 trials:2]"},
			[]string{"sound: 80% independent in 4 sessions in a row, 2 or more trials map[]"},
		},
		{
			"too few trials for any goal", "100% independent in 3 sessions in a row, 1 or more trials", 1,
			[]string{"check.lucky map[n:96 percent:80 sessions:10]", "check.luck_no_window map[sessions:5 trials:1]"},
			nil,
		},
		{
			"more trials required than planned", "80% independent in 2 sessions in a row, 6 or more trials", 5,
			[]string{"check.lucky map[n:35 percent:60 sessions:10]"},
			[]string{"sound: 80% independent in 3 sessions in a row, 6 or more trials map[steps.u1.trials:6]"},
		},
		{"no number of trials", "80% independent in 2 sessions in a row", 0, nil, nil},
		{"two goals", "80% independent in 2 sessions in a row, 5 or more trials, and at most 2 errors", 5, nil, nil},
		{"sound", "80% independent in 3 sessions in a row, 6 or more trials", 6, nil, nil},
		{"out of reach", "above 100% independent in 3 sessions in a row, 6 or more trials", 6, nil, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := sound()
			s := &d.Strands[0].Steps[0]
			s.Choices, s.Trials, s.Criterion = 0, c.trials, c.criterion
			var says, fixes []string
			for _, a := range Review(&d, Context{}) {
				if !AboutLuck(a.Key) {
					continue
				}
				if a.Field != "steps.u1.criterion" || a.Severity != program.Suggestion || a.Luck == nil && len(says) == 0 {
					t.Errorf("%+v", a)
				}
				says = append(says, fmt.Sprint(a.Key, " ", a.Args))
				for _, f := range a.Fixes() {
					fixes = append(fixes, fmt.Sprint(f.ID, ": ", f.Value, " ", f.Also))
					mended := f.Apply(&d)
					if find(Review(&mended, Context{}), a.Key) != nil {
						t.Errorf("%s does not resolve it", f.Value)
					}
					if err := mended.Publishable(); err != nil {
						t.Error(err)
					}
				}
			}
			if diff := cmp.Diff(c.says, says); diff != "" {
				t.Error(diff)
			}
			if diff := cmp.Diff(c.fixes, fixes); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestReadCriterionTellsLuck checks what the panel beside the criterion gets
// while someone types.
func TestReadCriterionTellsLuck(t *testing.T) {
	t.Parallel()
	var curves Curves
	d, step := document(pattern()), program.Step{Key: "u1"}
	v := curves.ReadCriterion(&d, &step, CriterionInput{Text: "80% in 2 sessions", Trials: "5"})
	if v.Luck == nil || !v.Luck.Lucky || len(v.Fixes) != 2 || v.Fixes[0].Field != "steps.u1.criterion" || v.Fixes[1].Also != nil {
		t.Errorf("%+v, %+v", v.Luck, v.Fixes)
	}
	if v := curves.ReadCriterion(&d, &step, CriterionInput{Text: "80% in 2 sessions"}); v.Luck == nil || v.Luck.Trials != AssumedTrials || v.Fixes != nil {
		t.Errorf("with an assumed number of trials: %+v, %+v", v.Luck, v.Fixes)
	}
	for _, text := range []string{"3 errors in 2 sessions", "80% in 2 sessions, and 2 errors", "most of the time"} {
		if v := curves.ReadCriterion(&d, &step, CriterionInput{Text: text, Trials: "5"}); v.Luck != nil || v.Fixes != nil {
			t.Errorf("%s: %+v", text, v.Luck)
		}
	}
	step.Measure = program.MeasureCount
	if v := curves.ReadCriterion(&d, &step, CriterionInput{Text: "80% in 2 sessions", Trials: "5"}); v.Luck != nil {
		t.Errorf("a step that counts: %+v", v.Luck)
	}
}

func TestHundredths(t *testing.T) {
	t.Parallel()
	for p, want := range map[float64]int{0: 0, 0.001: 1, 0.0051: 1, 0.585: 59, 0.301: 30, 0.9999: 99, 1: 100} {
		if got := Hundredths(p); got != want {
			t.Errorf("%v: %d, want %d", p, got, want)
		}
	}
}
