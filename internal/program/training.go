package program

import "newel/internal/newel"

// StartsFrom returns the training state required to start the step without a
// supervisor: the step's own setting; otherwise practiced if a mistake can do
// harm (through touch, a hard moment or food); otherwise read. touch reports
// whether prompts that touch this child are allowed at all.
func (d *Document) StartsFrom(s *Step, touch bool) newel.TrainingState {
	switch {
	case s.StartFrom != newel.TrainingNone:
		return s.StartFrom
	case touch && d.HasTouch(), s.Coping, s.FoodReward:
		return newel.TrainingPracticed
	}
	return newel.TrainingRead
}
