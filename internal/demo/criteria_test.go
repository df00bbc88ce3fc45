package demo

import (
	"testing"

	"newel/internal/criterion"
	"newel/internal/program"
	"newel/internal/programfile"
)

// TestCriteriaAreSoundOrTold checks the accuracy criteria of the clinic's
// programs: each is sound (see criterion.LuckAnswer), or a story was told under
// it. A criterion that is sound must not be listed as told.
func TestCriteriaAreSoundOrTold(t *testing.T) {
	t.Parallel()
	starters, err := programfile.Starters()
	if err != nil {
		t.Fatal(err)
	}
	drafted, problems := programfile.Parse(inTraining)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	all := append(starters, programfile.Starter{Name: "answering-the-door", Document: drafted})
	known := map[string]bool{}
	for _, s := range all {
		sheet := s.Document.Sheet()
		asTold(s.Name, &sheet)
		d := sheet.Document()
		for i := range d.Strands {
			for j := range d.Strands[i].Steps {
				step := &d.Strands[i].Steps[j]
				known[s.Name+" "+step.Key] = true
				_, told := toldUnder[s.Name][step.Key]
				if sound := soundOrOther(t, &d, step); sound == told {
					t.Errorf("%s, %s: %s: sound: %t, told: %t", s.Name, step.Label, step.Criterion, sound, told)
				}
			}
		}
	}
	for name, steps := range toldUnder {
		for key := range steps {
			if !known[name+" "+key] {
				t.Errorf("%s has no step %s", name, key)
			}
		}
	}
}

// soundOrOther reports whether the step's criterion is sound, or is not about
// the accuracy of trials.
func soundOrOther(t *testing.T, d *program.Document, step *program.Step) bool {
	t.Helper()
	c, err := criterion.Parse(step.Criterion, d.Vocabulary(step))
	if err != nil {
		t.Fatal(err)
	}
	if c.Goal.Measure != criterion.Accuracy || step.Measure != program.MeasureTrials {
		return true
	}
	c.Second = nil
	a, err := criterion.Luck(criterion.LuckQuestion{Criterion: c.String(), HelpLevels: d.HelpNames(), Trials: max(step.Trials, c.Trials)})
	if err != nil {
		t.Fatal(err)
	}
	return a.Sound()
}
