package program

import "newel/internal/newel"

// StartsFrom is the state from which somebody may start the step without a
// supervisor: what the step says; or else practised where a mistake can hurt,
// by touch, by a hard moment or by food; or else read. touch: whether help that
// touches this child is allowed at all.
func (d *Document) StartsFrom(s *Step, touch bool) newel.TrainingState {
	switch {
	case s.StartFrom != newel.NotTrained:
		return s.StartFrom
	case touch && d.HasTouch(), s.Coping, s.FoodReward:
		return newel.Practised
	}
	return newel.Read
}
