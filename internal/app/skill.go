package app

import (
	"context"
	"slices"
	"strings"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/skill"
)

// SkillsView is the clinic's list of skills, with the programs that need and
// teach them.
type SkillsView struct {
	Skills []newel.Skill // by area and name, including archived ones
	Shelf  *skill.Shelf
}

// Skills returns the clinic's skills.
func (a *App) Skills(ctx context.Context, actor newel.Actor) (v SkillsView, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		v, err = skillsView(ctx, tx)
		return err
	})
	return v, err
}

func skillsView(ctx context.Context, tx *postgres.Tx) (v SkillsView, err error) {
	if v.Skills, err = tx.Skills(ctx); err != nil {
		return v, err
	}
	programs, err := tx.ShelfSkills(ctx)
	v.Shelf = skill.NewShelf(v.Skills, programs)
	return v, err
}

// SkillView is one skill, with the evidence about learners in reach.
type SkillView struct {
	SkillsView
	Skill    newel.Skill
	Notes    []newel.SkillNote // the latest of each learner
	Learners map[newel.LearnerID]string
}

// Skill returns one skill.
func (a *App) Skill(ctx context.Context, actor newel.Actor, id newel.SkillID) (v SkillView, err error) {
	err = a.act(ctx, actor, newel.SeeLibrary, func(tx *postgres.Tx) error {
		if v.Skill, err = tx.Skill(ctx, id); err != nil {
			return err
		}
		if v.SkillsView, err = skillsView(ctx, tx); err != nil {
			return err
		}
		if v.Notes, err = tx.NotesOfSkill(ctx, id); err != nil {
			return err
		}
		learners, err := tx.Learners(ctx)
		v.Learners = map[newel.LearnerID]string{}
		for _, l := range learners {
			v.Learners[l.ID] = l.Nickname
		}
		return err
	})
	return v, err
}

// SkillInput is the form for a skill.
type SkillInput struct{ Name, Area string }

func (in SkillInput) check() (name, area string, err error) {
	var e newel.Invalid
	name = strings.Join(strings.Fields(e.Line("name", in.Name, newel.MaxLine, true)), " ")
	area = e.Line("area", in.Area, newel.MaxName, false)
	return name, area, e.OrNil()
}

// checkNameFree adds a problem if the name belongs, or belonged, to another
// skill.
func checkNameFree(list []newel.Skill, name string, own newel.SkillID, e *newel.Invalid) {
	for _, s := range list {
		if s.ID != own && slices.Contains(s.Names, newel.FoldSkill(name)) {
			e.Add("name", "skills.name_taken", "skill", s.Name)
		}
	}
}

// AddSkill adds a skill to the clinic's list and returns the list's location.
func (a *App) AddSkill(ctx context.Context, actor newel.Actor, form Form, in SkillInput) (string, error) {
	name, area, err := in.check()
	if err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.PublishProgram, form, func(tx *postgres.Tx) (string, error) {
		list, err := tx.Skills(ctx)
		if err != nil {
			return "", err
		}
		var e newel.Invalid
		checkNameFree(list, name, newel.SkillID{}, &e)
		if err := e.OrNil(); err != nil {
			return "", err
		}
		s := newel.Skill{ID: newel.NewID[newel.SkillID](), Name: name, Area: area}
		if err := tx.AddSkill(ctx, s); err != nil {
			return "", err
		}
		return href.Skills, tx.Note(ctx, "authoring.skill_added", newel.FamilyID{}, s.ID.UUID)
	})
}

// ChangeSkill changes a skill's name or area. Programs that use its old name
// still refer to it.
func (a *App) ChangeSkill(ctx context.Context, actor newel.Actor, form Form, id newel.SkillID, in SkillInput) (string, error) {
	name, area, err := in.check()
	if err != nil {
		return "", err
	}
	return a.once(ctx, actor, newel.PublishProgram, form, func(tx *postgres.Tx) (string, error) {
		list, err := tx.Skills(ctx)
		if err != nil {
			return "", err
		}
		var e newel.Invalid
		checkNameFree(list, name, id, &e)
		if err := e.OrNil(); err != nil {
			return "", err
		}
		if err := tx.ChangeSkill(ctx, id, name, area); err != nil {
			return "", err
		}
		return href.Skill.To(id), tx.Note(ctx, "authoring.skill_changed", newel.FamilyID{}, id.UUID)
	})
}

// ArchiveSkill archives a skill or restores it. Its evidence is kept.
func (a *App) ArchiveSkill(ctx context.Context, actor newel.Actor, form Form, id newel.SkillID, archived bool) (string, error) {
	return a.once(ctx, actor, newel.PublishProgram, form, func(tx *postgres.Tx) (string, error) {
		if err := tx.ArchiveSkill(ctx, id, archived); err != nil {
			return "", err
		}
		return href.Skill.To(id), tx.Note(ctx, "authoring.skill_archived", newel.FamilyID{}, id.UUID)
	})
}

// listSkills adds a published document's skills to the clinic's list if they
// are missing. A skill that was only required so far gets the area of the
// program that teaches it.
func listSkills(ctx context.Context, tx *postgres.Tx, shelf *skill.Shelf, d *program.Document) error {
	added := map[string]bool{}
	add := func(name, area string) error {
		folded := newel.FoldSkill(name)
		if x := shelf.Skill(shelf.Key(name)); !x.ID.IsZero() && x.Area == "" && area != "" {
			return tx.ChangeSkill(ctx, x.ID, x.Name, area)
		}
		if added[folded] || shelf.Listed(name) {
			return nil
		}
		added[folded] = true
		return tx.AddSkill(ctx, newel.Skill{ID: newel.NewID[newel.SkillID](), Name: strings.Join(strings.Fields(name), " "), Area: area})
	}
	for _, t := range d.Teaches {
		if err := add(t.Skill, d.SkillArea); err != nil {
			return err
		}
	}
	for _, name := range d.Needs {
		if err := add(name, ""); err != nil {
			return err
		}
	}
	return nil
}
