package program

import (
	"testing"

	"newel/internal/newel"
)

// TestStartsFrom: practiced if a mistake can do harm, otherwise read; the
// step's own setting overrides both.
func TestStartsFrom(t *testing.T) {
	t.Parallel()
	touching := []HelpLevel{{Name: "point"}, {Name: "light touch", Touch: true}}
	for _, c := range []struct {
		name   string
		levels []HelpLevel
		step   Step
		touch  bool // allowed for the child
		want   newel.TrainingState
	}{
		{"nothing that can do harm", []HelpLevel{{Name: "point"}}, Step{}, true, newel.TrainingRead},
		{"help by touch", touching, Step{}, true, newel.TrainingPracticed},
		{"help by touch that this child is not given", touching, Step{}, false, newel.TrainingRead},
		{"a hard moment", nil, Step{Coping: true}, false, newel.TrainingPracticed},
		{"food", nil, Step{FoodReward: true}, false, newel.TrainingPracticed},
		{"the step requires more", nil, Step{StartFrom: newel.TrainingAlone}, false, newel.TrainingAlone},
		{"the step requires less", touching, Step{StartFrom: newel.TrainingShown, Coping: true}, true, newel.TrainingShown},
	} {
		d := Document{HelpLevels: c.levels}
		if got := d.StartsFrom(&c.step, c.touch); got != c.want {
			t.Errorf("%s: starts from %q, want %q", c.name, got, c.want)
		}
	}
}
