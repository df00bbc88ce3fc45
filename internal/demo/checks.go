package demo

import (
	"context"
	"fmt"
	"slices"

	"newel/internal/newel"
	"newel/internal/recording"
)

// learnedStep is a step that a learner left by an advance.
type learnedStep struct {
	course    course
	role      string
	step      string // label
	placement newel.PlacementID
	on        int // day of the decision
	last      sitting
}

// checkWeeks are the weeks in which the starters check a learned step.
var checkWeeks = []int{1, 2, 4, 8}

// leaves notes a step that was learned. A step back takes the step and those
// after it off the list, because they are taught again.
func (h *home) leaves(c course, st stage, placement newel.PlacementID, on int) {
	switch st.decision {
	case newel.DecisionAdvance:
		if n := len(st.sessions); n > 0 {
			h.learned = append(h.learned, learnedStep{c, st.role, st.step, placement, on, st.sessions[n-1]})
		}
	case newel.DecisionStepBack:
		i := slices.IndexFunc(h.learned, func(l learnedStep) bool {
			return l.course.program == c.program && l.role == st.role && l.step == st.decided.To
		})
		if i >= 0 {
			first := h.learned[i:]
			h.learned = append(h.learned[:i:i], slices.DeleteFunc(slices.Clone(first), func(l learnedStep) bool {
				return l.course.program == c.program && l.role == st.role
			})...)
		}
	}
}

// looksAgain records the checks of learned steps, each on the day on which it
// fell due and all met, except on the last h.unchecked days.
func (h *home) looksAgain(ctx context.Context) error {
	for _, l := range h.learned {
		for i, week := range checkWeeks {
			day := l.on + 7*week
			if l.course.ago(day) < max(1, h.unchecked) {
				break
			}
			sit := l.last
			sit.row = row{day, l.last.who, l.last.place, l.last.of, l.last.of}
			sit.kind, sit.seconds, sit.received, sit.name, sit.as, sit.twin, sit.watched = recording.Maintenance, 0, 0, "", nil, "", ""
			if err := h.session(ctx, l.course, l.placement, i, sit); err != nil {
				return fmt.Errorf("check of %s in week %d: %w", l.step, week, err)
			}
		}
	}
	return nil
}
