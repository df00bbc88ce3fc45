package demo

import (
	"context"
	"fmt"

	"newel/internal/app"
	"newel/internal/newel"
)

// shown is what was known about a learner's skill.
type shown struct {
	skill    string
	status   newel.SkillStatus
	evidence string
}

// showing is a stage after which a skill was recorded as acquired.
func showing(skill string, st stage) stage {
	st.shows = skill
	return st
}

// firstVisits records what was seen before teaching began.
func (h *home) firstVisits(ctx context.Context) error {
	for _, s := range h.skills {
		in := app.SkillNoteInput{Skill: s.skill, Status: string(s.status), Evidence: s.evidence}
		if err := h.notes(ctx, in); err != nil {
			return err
		}
	}
	return nil
}

// showed records a skill on the evidence of a placement.
func (h *home) showed(ctx context.Context, skill string, at newel.PlacementID) error {
	return h.notes(ctx, app.SkillNoteInput{Skill: skill, Status: string(newel.SkillAcquired), Placement: at.String()})
}

func (h *home) notes(ctx context.Context, in app.SkillNoteInput) error {
	in.On = newel.DayOf(h.clock.at, h.zone).String()
	if _, err := h.app.RecordSkill(ctx, h.supervisor, app.NewForm(), h.learner, in); err != nil {
		return fmt.Errorf("skill %s: %w", in.Skill, err)
	}
	return nil
}

// brought maps skills that no program of the clinic teaches to their areas.
var brought = map[string]string{
	"copies one action": "imitation", "fetches a thing that is named": "language", "hands over a thing": "language",
	"has a coping step": "flexibility", "matches a thing to its photo": "matching", "matches pictures": "matching",
	"says or shows one choice": "language", "stands at the sink for a minute": "self-care",
	"stays near an adult in the street": "community", "takes one turn with a toy": "play", "understands first–then": "coping",
}

// skillAreas sorts the clinic's skills into areas.
func (s *seeder) skillAreas(ctx context.Context) error {
	v, err := s.app.Skills(ctx, s.lead)
	if err != nil {
		return err
	}
	for _, x := range v.Skills {
		if area := brought[x.Name]; area != "" {
			if _, err := s.app.ChangeSkill(ctx, s.lead, app.NewForm(), x.ID, app.SkillInput{Name: x.Name, Area: area}); err != nil {
				return err
			}
		}
	}
	return nil
}
