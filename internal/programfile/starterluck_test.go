package programfile_test

import (
	"testing"

	"newel/internal/criterion"
	"newel/internal/programfile"
)

// TestStarterCriteriaAreSound checks every accuracy criterion of the starter
// programs: a learner 20 points short of the goal meets it within 10 sessions in
// at most 10 of 100 cases, and one who has learned the skill in at least 80.
// Where a session must also meet a second goal, the first is checked by itself.
// The criterion must hold with the number of trials that is planned, and with
// the least number that it counts.
func TestStarterCriteriaAreSound(t *testing.T) {
	t.Parallel()
	all, err := programfile.Starters()
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, s := range all {
		for i := range s.Document.Strands {
			steps := s.Document.Strands[i].Steps
			for j := range steps {
				step := &steps[j]
				c, err := criterion.Parse(step.Criterion, s.Document.Vocabulary(step))
				if err != nil {
					t.Fatal(err)
				}
				if c.Goal.Measure != criterion.Accuracy || !step.Measure.ByTrial() {
					continue
				}
				c.Second = nil
				checked++
				for _, trials := range []int{step.Trials, c.Trials} {
					a, err := criterion.Luck(criterion.LuckQuestion{Criterion: c.String(), HelpLevels: s.Document.HelpNames(), Trials: trials})
					if err != nil || !a.Sound() {
						t.Errorf("%s, %s: %s, %d trials: %.3f and %.3f, %v", s.Name, step.Label, step.Criterion, trials, a.Unlearnt.Within10, a.Learnt.Within10, err)
					}
				}
			}
		}
	}
	if checked != 118 {
		t.Errorf("checked %d criteria", checked)
	}
}
