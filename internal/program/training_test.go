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
		{"nothing that can do harm", []HelpLevel{{Name: "point"}}, Step{}, true, newel.Read},
		{"help by touch", touching, Step{}, true, newel.Practised},
		{"help by touch that this child is not given", touching, Step{}, false, newel.Read},
		{"a hard moment", nil, Step{Coping: true}, false, newel.Practised},
		{"food", nil, Step{FoodReward: true}, false, newel.Practised},
		{"the step requires more", nil, Step{StartFrom: newel.Alone}, false, newel.Alone},
		{"the step requires less", touching, Step{StartFrom: newel.Shown, Coping: true}, true, newel.Shown},
	} {
		d := Document{HelpLevels: c.levels}
		if got := d.StartsFrom(&c.step, c.touch); got != c.want {
			t.Errorf("%s: starts from %q, want %q", c.name, got, c.want)
		}
	}
}
