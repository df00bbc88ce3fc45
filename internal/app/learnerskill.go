package app

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/skill"
	"newel/internal/timezone"
)

// LearnerSkills is a learner's status in the clinic's skills.
type LearnerSkills struct {
	SkillsView
	Learner newel.Learner
	Notes   []newel.SkillNote // newest first
	skill.Profile
	At       map[newel.ProgramID][]string // titles of the current steps by program
	Proposed []ProposedSkill
	Order    []skill.Proposal
	Blocked  []skill.Blocked
	Today    newel.Day
}

// ProposedSkill is a skill for which steps were met, but that no one has
// recorded.
type ProposedSkill struct {
	Skill skill.Skill
	On    program.MetStep // the last of these steps
}

// Latest returns the evidence that counts for each skill.
func (v LearnerSkills) Latest() map[newel.SkillID]newel.SkillNote { return latestNotes(v.Notes) }

func latestNotes(notes []newel.SkillNote) map[newel.SkillID]newel.SkillNote {
	out := map[newel.SkillID]newel.SkillNote{}
	for _, n := range notes {
		if _, later := out[n.SkillID]; !later {
			out[n.SkillID] = n
		}
	}
	return out
}

// LearnerSkills returns a learner's skills, proposed ones, and a suggested
// order of programs.
func (a *App) LearnerSkills(ctx context.Context, actor newel.Actor, learner newel.LearnerID) (v LearnerSkills, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		v, err = learnerSkills(ctx, tx, learner)
		return err
	})
	return v, err
}

func learnerSkills(ctx context.Context, tx *postgres.Tx, learner newel.LearnerID) (v LearnerSkills, err error) {
	if v.Learner, err = tx.Learner(ctx, learner); err != nil {
		return v, err
	}
	family, err := tx.Family(ctx, v.Learner.FamilyID)
	if err != nil {
		return v, err
	}
	v.Today = newel.DayOf(tx.Now(), timezone.OrUTC(family.TimeZone))
	if v.SkillsView, err = skillsView(ctx, tx); err != nil {
		return v, err
	}
	if v.Notes, err = tx.SkillNotes(ctx, learner); err != nil {
		return v, err
	}
	if err := v.fillProfile(ctx, tx); err != nil {
		return v, err
	}
	met, err := tx.MetSteps(ctx, learner)
	if err != nil {
		return v, err
	}
	v.Proposed = v.proposed(met)
	v.Order, v.Blocked = v.Shelf.Order(v.Profile)
	return v, nil
}

// fillProfile fills in what the learner has, is taught and has finished.
func (v *LearnerSkills) fillProfile(ctx context.Context, tx *postgres.Tx) error {
	v.Profile = skill.Profile{Has: map[skill.Key]bool{}, Taught: map[newel.ProgramID]bool{}, Finished: map[newel.ProgramID]bool{}}
	for id, n := range v.Latest() {
		v.Has[skill.Key(id.String())] = n.Status.Has()
	}
	rows, err := tx.Assignments(ctx, v.Learner.ID)
	if err != nil {
		return err
	}
	v.At = map[newel.ProgramID][]string{}
	for _, row := range rows {
		if row.State == newel.AssignmentFinished {
			v.Finished[row.ProgramID] = true
			continue
		}
		v.Taught[row.ProgramID] = true
		if v.At[row.ProgramID], err = openSteps(ctx, tx, row.ID); err != nil {
			return err
		}
	}
	for id := range v.Taught {
		delete(v.Finished, id) // started again
	}
	return nil
}

// openSteps returns the titles of an assignment's current steps.
func openSteps(ctx context.Context, tx *postgres.Tx, assignment newel.AssignmentID) ([]string, error) {
	placements, err := tx.Placements(ctx, assignment)
	if err != nil {
		return nil, err
	}
	placements = slices.DeleteFunc(placements, func(p newel.Placement) bool { return p.EndedAt != nil })
	versions := make([]newel.VersionID, len(placements))
	for i, p := range placements {
		versions[i] = p.VersionID
	}
	steps, err := tx.StepsOf(ctx, versions)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, p := range placements {
		for _, s := range steps {
			if s.VersionID == p.VersionID && s.Key == p.StepKey {
				out = append(out, strings.TrimSpace(s.Role+" "+s.Label))
			}
		}
	}
	return out, nil
}

// proposed lists the skills that can be recorded: met steps reach them, and the
// learner is not known to have them.
func (v *LearnerSkills) proposed(met []program.MetStep) []ProposedSkill {
	known := map[newel.ProgramID]map[string]bool{}
	for _, m := range met {
		if known[m.ProgramID] == nil {
			known[m.ProgramID] = map[string]bool{}
		}
		known[m.ProgramID][m.StepKey] = true
	}
	var out []ProposedSkill
	seen := map[skill.Key]bool{}
	for _, m := range met { // newest first: the step that completed it
		for _, t := range m.Teaches {
			k, steps := v.Shelf.Key(t.Skill), t.ReachedAt(m.Last)
			whole := !slices.ContainsFunc(steps, func(key string) bool { return !known[m.ProgramID][key] })
			if x := v.Shelf.Skill(k); whole && slices.Contains(steps, m.StepKey) && !v.Has[k] && !seen[k] && !x.ID.IsZero() && !v.later(x.ID, m.MetOn) {
				seen[k] = true
				out = append(out, ProposedSkill{x, m})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b ProposedSkill) int { return cmp.Compare(a.Skill.Name, b.Skill.Name) })
	return out
}

// later reports whether someone has recorded evidence for the skill after that
// day.
func (v *LearnerSkills) later(id newel.SkillID, day newel.Day) bool {
	n, noted := v.Latest()[id]
	return noted && day.Before(n.NotedOn)
}

// SkillNoteInput is the form for a learner's skill. Skill is its name and On a
// date; Placement is the placement that met it, if that is the evidence.
type SkillNoteInput struct {
	Skill, Status, On, Evidence, Placement string
}

// RecordSkill records evidence about a learner's skill and returns the location
// of the learner's skills. Earlier evidence is kept; the latest counts.
func (a *App) RecordSkill(ctx context.Context, actor newel.Actor, form Form, learner newel.LearnerID, in SkillNoteInput) (string, error) {
	return a.once(ctx, actor, newel.Decide, form, func(tx *postgres.Tx) (string, error) {
		v, err := learnerSkills(ctx, tx, learner)
		if err != nil {
			return "", err
		}
		n, err := v.note(ctx, tx, in)
		if err != nil {
			return "", err
		}
		if err := tx.AddSkillNote(ctx, n); err != nil {
			return "", err
		}
		return href.LearnerSkills.To(learner), tx.Note(ctx, "teaching.skill_noted", n.FamilyID, n.ID.UUID)
	})
}

func (v *LearnerSkills) note(ctx context.Context, tx *postgres.Tx, in SkillNoteInput) (newel.SkillNote, error) {
	var e newel.Invalid
	n := newel.SkillNote{ID: newel.NewID[newel.SkillNoteID](), FamilyID: v.Learner.FamilyID, LearnerID: v.Learner.ID, Status: newel.SkillStatus(in.Status)}
	name := e.Line("skill", in.Skill, newel.MaxLine, true)
	if n.SkillID = v.Shelf.Skill(v.Shelf.Key(name)).ID; name != "" && n.SkillID.IsZero() {
		e.Add("skill", "skills.not_listed", "typed", name)
	}
	if !slices.Contains(newel.SkillStatuses, n.Status) {
		e.Add("status", "skills.choose_status")
	}
	n.NotedOn = pastDay(&e, "on", in.On, v.Today)
	n.Evidence = e.Text("evidence", in.Evidence, newel.MaxNote, false)
	if in.Placement != "" {
		id, err := newel.ParseID[newel.PlacementID](in.Placement)
		if err != nil {
			return n, err
		}
		if err := v.checkPlacement(ctx, tx, id); err != nil {
			return n, err
		}
		n.PlacementID = &id
	}
	if n.Status.Has() && n.Evidence == "" && n.PlacementID == nil {
		e.Add("evidence", "skills.evidence_needed")
	}
	return n, e.OrNil()
}

// checkPlacement rejects a placement of another learner in the family.
func (v *LearnerSkills) checkPlacement(ctx context.Context, tx *postgres.Tx, id newel.PlacementID) error {
	p, err := tx.Placement(ctx, id)
	if err != nil {
		return err
	}
	a, err := tx.Assignment(ctx, p.AssignmentID)
	if err == nil && a.LearnerID != v.Learner.ID {
		return newel.ErrNotFound
	}
	return err
}

// lacking returns the skills that a program needs and that the learner is not
// known to have.
func (v *LearnerSkills) lacking(d *program.Document, id newel.ProgramID) []skill.Skill {
	v.Shelf.Put(d.SkillsOf(id))
	p, _ := v.Shelf.Program(id)
	var out []skill.Skill
	for _, k := range v.Shelf.Missing(p, v.Has) {
		out = append(out, v.Shelf.Skill(k))
	}
	return out
}

// checkSkills requires a confirmation if the learner lacks skills that the
// program needs. It reports whether there are any.
func checkSkills(ctx context.Context, tx *postgres.Tx, learner newel.LearnerID, version program.Version, ticked bool, e *newel.Invalid) (bool, error) {
	if len(version.Document.Needs) == 0 {
		return false, nil
	}
	v, err := learnerSkills(ctx, tx, learner)
	if err != nil {
		return false, err
	}
	lacking := v.lacking(&version.Document, version.ProgramID)
	if len(lacking) == 0 {
		return false, nil
	}
	if !ticked {
		names := make([]string, len(lacking))
		for i, s := range lacking {
			names[i] = "“" + s.Name + "”"
		}
		e.Add("all_the_same", "assign.skills_lacking", "n", len(names), "skills", strings.Join(names, ", "))
	}
	return true, nil
}
