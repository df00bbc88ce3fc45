package demo

import (
	"context"

	"newel/internal/app"
	"newel/internal/newel"
)

// trains records everyone's training before a program starts: people who record
// in it have practiced it, the first of the family teaches alone, and people
// who only watch were shown it.
func (h *home) trains(ctx context.Context, c course) error {
	for i, name := range h.household.people {
		h.at(c.ago(c.began), 9)
		if err := h.trained(ctx, c, name, newel.TrainingShown, "Shown in the clinic, with the things from home."); err != nil {
			return err
		}
		state, note := newel.TrainingPracticed, "Two rounds while I watched. Waits long enough before helping."
		if i == 0 {
			state, note = newel.TrainingAlone, "Three rounds without a word from me."
		}
		if !c.taughtBy(name) {
			continue
		}
		h.at(c.ago(c.began), 10)
		if err := h.trained(ctx, c, name, state, note); err != nil {
			return err
		}
	}
	return nil
}

func (h *home) trained(ctx context.Context, c course, name string, state newel.TrainingState, note string) error {
	in := app.TrainingInput{Person: h.people[name].String(), State: string(state), Note: note}
	_, err := h.app.SetTraining(ctx, h.supervisor, app.NewForm(), h.family, h.programs[c.program], in)
	return err
}

// taughtBy reports whether someone of that name records in the course.
func (c course) taughtBy(name string) bool {
	for _, st := range c.stages {
		for _, s := range st.sessions {
			if s.who == name || s.twin == name || s.watched == name {
				return true
			}
		}
	}
	return false
}
