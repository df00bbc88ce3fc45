package postgres

import (
	"context"
	"errors"

	"newel/internal/newel"
	"newel/internal/program"
)

const skillColumns = `select k.id, k.name, k.area, k.created_at, k.archived_at,
	array(select folded from skill_name n where $staff(n) and n.skill_id = k.id order by folded) as names from skill k where $staff(k)`

// AddSkill adds a skill to the clinic's list. It returns ErrConflict if another
// skill has or had its name.
func (tx *Tx) AddSkill(ctx context.Context, s newel.Skill) (err error) {
	defer wrap(&err, "add skill %s", s.ID)
	if err := tx.staff(); err != nil {
		return err
	}
	err = tx.exec(ctx, `insert into skill (clinic_id, id, name, area, created_by, created_at)
		values (@scope_clinic, @id, @name, @area, @scope_account, @now)`, args{"id": s.ID, "name": s.Name, "area": s.Area})
	if err != nil {
		return err
	}
	return tx.exec(ctx, `insert into skill_name (clinic_id, folded, skill_id) values (@scope_clinic, @folded, @id)`,
		args{"id": s.ID, "folded": newel.FoldSkill(s.Name)})
}

// Skills lists the clinic's skills by area and name.
func (tx *Tx) Skills(ctx context.Context) (_ []newel.Skill, err error) {
	defer wrap(&err, "skills")
	return many[newel.Skill](ctx, tx, skillColumns+` order by lower(k.area), lower(k.name), k.id`, nil)
}

// Skill returns one skill.
func (tx *Tx) Skill(ctx context.Context, id newel.SkillID) (_ newel.Skill, err error) {
	defer wrap(&err, "skill %s", id)
	return one[newel.Skill](ctx, tx, skillColumns+` and k.id = @id`, args{"id": id})
}

// ChangeSkill changes a skill's name and area. Its earlier names still refer to
// it. It returns ErrConflict if another skill has or had the name.
func (tx *Tx) ChangeSkill(ctx context.Context, id newel.SkillID, name, area string) (err error) {
	defer wrap(&err, "change skill %s", id)
	err = tx.exec(ctx, `update skill k set name = @name, area = @area where $staff(k) and id = @id`, args{"id": id, "name": name, "area": area})
	if err != nil {
		return err
	}
	err = tx.exec(ctx, `insert into skill_name (clinic_id, folded, skill_id)
		select k.clinic_id, @folded, k.id from skill k where $staff(k) and k.id = @id
			and not exists (select from skill_name n where $staff(n) and n.skill_id = k.id and n.folded = @folded)`,
		args{"id": id, "folded": newel.FoldSkill(name)})
	if errors.Is(err, newel.ErrNotFound) {
		return nil // the skill had this name before
	}
	return err
}

// ArchiveSkill archives a skill or restores it.
func (tx *Tx) ArchiveSkill(ctx context.Context, id newel.SkillID, archived bool) (err error) {
	defer wrap(&err, "archive skill %s", id)
	return tx.exec(ctx, `update skill k set archived_at = case when @archived then @now::timestamptz end where $staff(k) and id = @id`,
		args{"id": id, "archived": archived})
}

// ShelfSkills returns what the latest version of each program needs and
// teaches, without archived programs.
func (tx *Tx) ShelfSkills(ctx context.Context) (_ []program.Skills, err error) {
	defer wrap(&err, "skills of the shelf")
	return many[program.Skills](ctx, tx, `
		select p.id, p.title, coalesce(v.document -> 'needs', '[]') as needs, coalesce(v.document -> 'teaches', '[]') as teaches,
			coalesce((select jsonb_object_agg(s.key, trim(s.role || ' ' || s.label)) from step s
				where $staff(s) and s.version_id = v.id and v.document -> 'teaches' @> jsonb_build_array(jsonb_build_object('step', s.key))), '{}') as steps
		from program p
		join lateral (select id, document from version v
			where $staff(v) and v.program_id = p.id and not v.own order by v.number desc limit 1) v on true
		where $staff(p) and p.archived_at is null order by lower(p.title), p.id`, nil)
}

// AddSkillNote records evidence about a learner's skill.
func (tx *Tx) AddSkillNote(ctx context.Context, n newel.SkillNote) (err error) {
	defer wrap(&err, "add skill note %s", n.ID)
	if err := errors.Join(tx.covers(n.FamilyID), tx.staff()); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into skill_note (clinic_id, family_id, id, learner_id, skill_id, status, noted_on, evidence, placement_id, recorded_by, recorded_at)
		values (@scope_clinic, @family, @id, @learner, @skill, @status, @on, @evidence, @placement, @scope_account, @now)`,
		args{
			"family": n.FamilyID, "id": n.ID, "learner": n.LearnerID, "skill": n.SkillID, "status": n.Status, "on": n.NotedOn,
			"evidence": n.Evidence, "placement": n.PlacementID,
		})
}

const skillNotes = `
	select n.id, n.family_id, n.learner_id, n.skill_id, n.status, n.noted_on, n.evidence, n.placement_id,
		coalesce(a.name, '') as recorded_by_name, n.recorded_at
	from skill_note n
	left join account a on a.clinic_id = n.clinic_id and a.id = n.recorded_by
	where $in(n) and $staff(n)`

// SkillNotes lists the recorded evidence about a learner's skills, newest day
// first. Only staff see it.
func (tx *Tx) SkillNotes(ctx context.Context, learner newel.LearnerID) (_ []newel.SkillNote, err error) {
	defer wrap(&err, "skill notes of learner %s", learner)
	return many[newel.SkillNote](ctx, tx, skillNotes+` and n.learner_id = @learner order by n.noted_on desc, n.recorded_at desc, n.id desc`, args{"learner": learner})
}

// NotesOfSkill lists the latest evidence about a skill for each learner in
// scope, newest first.
func (tx *Tx) NotesOfSkill(ctx context.Context, skill newel.SkillID) (_ []newel.SkillNote, err error) {
	defer wrap(&err, "notes of skill %s", skill)
	return many[newel.SkillNote](ctx, tx, skillNotes+` and n.skill_id = @skill and not exists (select from skill_note m
			where $in(m) and $staff(m) and m.learner_id = n.learner_id and m.skill_id = n.skill_id and (m.noted_on, m.recorded_at, m.id) > (n.noted_on, n.recorded_at, n.id))
		order by n.noted_on desc, n.id desc`, args{"skill": skill})
}

// MetSteps lists a learner's placements whose criterion is met, with the skills
// that the program teaches, newest first.
func (tx *Tx) MetSteps(ctx context.Context, learner newel.LearnerID) (_ []program.MetStep, err error) {
	defer wrap(&err, "met steps of learner %s", learner)
	return many[program.MetStep](ctx, tx, `
		select p.id as placement_id, a.program_id, t.title as program, p.step_key, trim(s.role || ' ' || s.label) as step,
			coalesce(v.document -> 'teaches', '[]') as teaches, jsonb_path_query_array(v.document, '$.strands[*].steps[last].key') as last,
			coalesce(r.local_date, g.as_of::date) as met_on
		from assignment a
		join program t on t.clinic_id = a.clinic_id and t.id = a.program_id
		join placement p on p.clinic_id = a.clinic_id and p.family_id = a.family_id and p.assignment_id = a.id
		join version v on v.clinic_id = p.clinic_id and v.id = p.version_id
		join step s on s.clinic_id = p.clinic_id and s.version_id = p.version_id and s.key = p.step_key
		join reading g on g.clinic_id = p.clinic_id and g.family_id = p.family_id and g.placement_id = p.id
		left join recording r on r.clinic_id = g.clinic_id and r.family_id = g.family_id and r.placement_id = g.placement_id and r.id::text = g.body ->> 'met_by'
		where $in(a) and $in(p) and $in(g) and a.learner_id = @learner and g.status = 'met'
		order by met_on desc, p.began_at desc, p.id`, args{"learner": learner})
}
