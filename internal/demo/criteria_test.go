package demo

import (
	"testing"

	"newel/internal/criterion"
	"newel/internal/programfile"
)

// TestDraftHasSoundCriteria checks the accuracy criteria of the trainee's draft
// (see criterion.LuckAnswer). The clinic's other programs are starters, whose
// criteria are checked with the starters.
func TestDraftHasSoundCriteria(t *testing.T) {
	t.Parallel()
	d, problems := programfile.Parse(inTraining)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	checked := 0
	for i := range d.Strands {
		for j := range d.Strands[i].Steps {
			step := &d.Strands[i].Steps[j]
			c, err := criterion.Parse(step.Criterion, d.Vocabulary(step))
			if err != nil {
				t.Fatal(err)
			}
			if c.Goal.Measure != criterion.Accuracy || !step.Measure.ByTrial() {
				continue
			}
			a, err := criterion.Luck(criterion.LuckQuestion{Criterion: c.String(), HelpLevels: d.HelpNames(), Trials: max(step.Trials, c.Trials)})
			if err != nil || !a.Sound() {
				t.Errorf("%s, %s: %+v, %v", step.Label, step.Criterion, a, err)
			}
			checked++
		}
	}
	if checked == 0 {
		t.Error("no step has a criterion about trials")
	}
}
