package postgres

import (
	"context"

	"newel/internal/newel"
	"newel/internal/program"
)

// AddProgram adds a program and its first draft.
func (tx *Tx) AddProgram(ctx context.Context, p program.Program, d program.Document) (err error) {
	defer wrap(&err, "add program %s", p.ID)
	if err := tx.staff(); err != nil {
		return err
	}
	err = tx.exec(ctx, `insert into program (clinic_id, id, title, skill_area, created_by, created_at, origin, copied_from)
		values (@scope_clinic, @id, @title, @area, @scope_account, @now, @origin, @copied_from)`,
		args{"id": p.ID, "title": p.Title, "area": p.SkillArea, "origin": p.Origin, "copied_from": p.CopiedFrom})
	if err != nil {
		return err
	}
	return tx.AddDraft(ctx, p.ID, d)
}

// Program returns one program of the library.
func (tx *Tx) Program(ctx context.Context, id newel.ProgramID) (_ program.Program, err error) {
	defer wrap(&err, "program %s", id)
	return one[program.Program](ctx, tx, `select id, title, skill_area, created_by, created_at, origin, copied_from, archived_at from program p
		where $staff(p) and id = @id`, args{"id": id})
}

// Programs lists the library by title. It counts learners within the scope.
func (tx *Tx) Programs(ctx context.Context) (_ []program.Summary, err error) {
	defer wrap(&err, "programs")
	return many[program.Summary](ctx, tx, `
		select p.id, p.title, p.skill_area, coalesce(v.number, 0) as number, v.published_at,
			coalesce(d.rev, 0) as draft_rev, d.updated_at as draft_updated_at,
			p.origin, p.archived_at, d.handed_in_at,
			(select count(distinct a.learner_id) from assignment a
				where $in(a) and a.program_id = p.id and a.state <> 'finished') as learners
		from program p
		left join draft d on d.clinic_id = p.clinic_id and d.program_id = p.id
		left join lateral (
			select number, published_at from version v
			where v.clinic_id = p.clinic_id and v.program_id = p.id and not v.own order by number desc limit 1) v on true
		where $staff(p)
		order by lower(p.title), p.id`, nil)
}

// NameProgram changes a program's title and skill area in the library.
func (tx *Tx) NameProgram(ctx context.Context, id newel.ProgramID, title, area string) (err error) {
	defer wrap(&err, "name program %s", id)
	return tx.exec(ctx, `update program p set title = @title, skill_area = @area where $staff(p) and id = @id`,
		args{"id": id, "title": title, "area": area})
}

// ArchiveProgram archives a program or restores it.
func (tx *Tx) ArchiveProgram(ctx context.Context, id newel.ProgramID, archived bool) (err error) {
	defer wrap(&err, "archive program %s", id)
	return tx.exec(ctx, `update program p set archived_at = case when @archived then @now::timestamptz end where $staff(p) and id = @id`,
		args{"id": id, "archived": archived})
}

// AddVersion stores a published version and its steps. The number must be the
// next one: when two people publish at the same time, the second gets
// ErrConflict.
func (tx *Tx) AddVersion(ctx context.Context, v program.Version) (err error) {
	defer wrap(&err, "add version %s", v.ID)
	if err := tx.staff(); err != nil {
		return err
	}
	document, err := v.Document.Canonical()
	if err != nil {
		return err
	}
	err = tx.exec(ctx, `insert into version (clinic_id, id, program_id, number, document, hash, help_levels, published_by, published_at, own, confirmed)
		values (@scope_clinic, @id, @program, @number, @document, @hash, @levels, @scope_account, @now, @own, @confirmed)`,
		args{"id": v.ID, "program": v.ProgramID, "number": v.Number, "document": document, "hash": v.Hash, "levels": v.Document.HelpNames(), "own": v.Own, "confirmed": v.Confirmed})
	if err != nil {
		return err
	}
	for _, s := range v.Document.StepRows(v.ID) {
		err := tx.exec(ctx, `insert into step (clinic_id, version_id, key, strand, role, place, label, name, helped, own)
			values (@scope_clinic, @version, @key, @strand, @role, @place, @label, @name, @helped, @own)`,
			args{"version": v.ID, "key": s.Key, "strand": s.Strand, "role": s.Role, "place": s.Place, "label": s.Label, "name": s.Name, "helped": s.Helped, "own": v.Own})
		if err != nil {
			return err
		}
	}
	return tx.addStepPictures(ctx, v)
}

func (tx *Tx) addStepPictures(ctx context.Context, v program.Version) error {
	for _, strand := range v.Document.Strands {
		for _, step := range strand.Steps {
			for _, p := range v.Document.PicturesOf(&step) {
				err := tx.exec(ctx, `insert into step_picture (clinic_id, version_id, step_key, sha256)
					values (@scope_clinic, @version, @key, decode(@sha256, 'hex'))`,
					args{"version": v.ID, "key": step.Key, "sha256": p.SHA256})
				if err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// AddBranch stores a version made for one learner, and whose it is.
func (tx *Tx) AddBranch(ctx context.Context, b newel.Branch, v program.Version) (err error) {
	defer wrap(&err, "add branch %s", b.VersionID)
	if err := tx.covers(b.FamilyID); err != nil {
		return err
	}
	err = tx.exec(ctx, `insert into branch (clinic_id, family_id, version_id, assignment_id, step_key, made_by, made_at)
		values (@scope_clinic, @family, @version, @assignment, @step, @scope_account, @now)`,
		args{"family": b.FamilyID, "version": b.VersionID, "assignment": b.AssignmentID, "step": b.StepKey})
	if err != nil {
		return err
	}
	v.ID, v.Own = b.VersionID, true
	return tx.AddVersion(ctx, v)
}

// Version returns one published version, for staff.
func (tx *Tx) Version(ctx context.Context, id newel.VersionID) (_ program.Version, err error) {
	defer wrap(&err, "version %s", id)
	return one[program.Version](ctx, tx, `select id, program_id, number, document, hash, published_by, published_at, own, confirmed from version v
		where $staff(v) and id = @id and (not own or exists (select from branch b where $in(b) and b.version_id = v.id))`, args{"id": id})
}

// VersionOf returns the version that a placement uses, for anyone who reaches
// the placement.
func (tx *Tx) VersionOf(ctx context.Context, placement newel.PlacementID) (_ program.Version, err error) {
	defer wrap(&err, "version of placement %s", placement)
	return one[program.Version](ctx, tx, `
		select v.id, v.program_id, v.number, v.document, v.hash, v.published_by, v.published_at, v.own
		from placement p
		join version v on v.clinic_id = p.clinic_id and v.id = p.version_id
		where $in(p) and $clinic(v) and p.id = @placement`, args{"placement": placement})
}

// LatestVersion returns the version published last. It returns ErrNotFound if
// there is none.
func (tx *Tx) LatestVersion(ctx context.Context, prog newel.ProgramID) (_ program.Version, err error) {
	defer wrap(&err, "latest version of %s", prog)
	return one[program.Version](ctx, tx, `select id, program_id, number, document, hash, published_by, published_at, confirmed from version v
		where $staff(v) and program_id = @program and not own order by number desc limit 1`, args{"program": prog})
}

// Versions lists the versions of a program, newest first.
func (tx *Tx) Versions(ctx context.Context, prog newel.ProgramID) (_ []program.VersionSummary, err error) {
	defer wrap(&err, "versions of %s", prog)
	return many[program.VersionSummary](ctx, tx, `
		select v.id, v.number, coalesce(a.name, '') as published_by, v.published_at from version v
		left join account a on a.clinic_id = v.clinic_id and a.id = v.published_by
		where $staff(v) and v.program_id = @program and not v.own order by v.number desc`, args{"program": prog})
}

// StepsOf lists the steps of several versions, in order.
func (tx *Tx) StepsOf(ctx context.Context, versions []newel.VersionID) (_ []program.StepRow, err error) {
	defer wrap(&err, "steps of versions")
	return many[program.StepRow](ctx, tx, `select version_id, key, strand, role, place, label, name, helped from step s
		where $staff(s) and version_id = any (@versions::uuid[])
			and (not own or exists (select from branch b where $in(b) and b.version_id = s.version_id)) order by version_id, place`, args{"versions": texts(versions)})
}

// ProgramLearners lists the learners in scope who are assigned the program, by
// name.
func (tx *Tx) ProgramLearners(ctx context.Context, program newel.ProgramID) (_ []newel.ProgramLearner, err error) {
	defer wrap(&err, "learners of program %s", program)
	return many[newel.ProgramLearner](ctx, tx, `
		select l.id as learner_id, l.nickname as learner, a.id as assignment_id, p.id as placement_id, p.version_id, p.step_key, p.strand_key,
			s.label as step_label, s.role, v.number,
			(select jsonb_agg(jsonb_build_object('key', t.key, 'label', t.label, 'name', t.name, 'helped', t.helped) order by t.place)
				from step t where $clinic(t) and t.version_id = p.version_id and t.strand = p.strand_key) as steps,
			(select array_agg(distinct c.step_key) from placement c join decision d on d.clinic_id = c.clinic_id and d.family_id = c.family_id and d.placement_id = c.id
				where $in(c) and $in(d) and c.assignment_id = a.id and d.kind = 'advance') as met
		from assignment a
		join learner l on l.clinic_id = a.clinic_id and l.id = a.learner_id
		join placement p on p.clinic_id = a.clinic_id and p.assignment_id = a.id and p.ended_at is null
		join version v on v.clinic_id = p.clinic_id and v.id = p.version_id
		join step s on s.clinic_id = p.clinic_id and s.version_id = p.version_id and s.key = p.step_key
		where $in(a) and $in(p) and a.program_id = @program and a.state <> 'finished'
		order by l.nickname, l.id, s.place`, args{"program": program})
}
