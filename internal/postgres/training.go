package postgres

import (
	"context"

	"newel/internal/newel"
	"newel/internal/program"
)

// AddTraining records a person's training status in a program, set by the
// scope's own account.
func (tx *Tx) AddTraining(ctx context.Context, t newel.Training) (err error) {
	defer wrap(&err, "add training %s", t.ID)
	if err := tx.covers(t.FamilyID); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into training (clinic_id, family_id, id, person_id, program_id, state, version_id, note, set_by, set_at)
		values (@scope_clinic, @family, @id, @person, @program, @state, @version, @note, @scope_account, @at)`,
		args{"family": t.FamilyID, "id": t.ID, "person": t.PersonID, "program": t.ProgramID, "state": t.State, "version": t.VersionID, "note": t.Note, "at": t.SetAt})
}

// Training lists all training entries of a family's people, newest first.
func (tx *Tx) Training(ctx context.Context, family newel.FamilyID) (_ []newel.Training, err error) {
	defer wrap(&err, "training in family %s", family)
	return many[newel.Training](ctx, tx, `
		select t.id, t.family_id, t.person_id, t.program_id, t.state, t.version_id, t.note, t.set_by, coalesce(a.name, '') as set_by_name, t.set_at
		from training t
		left join account a on $clinic(a) and a.id = t.set_by
		where $in(t) and t.family_id = @family order by t.set_at desc, t.id desc`, args{"family": family})
}

// TrainingEntry returns one training entry.
func (tx *Tx) TrainingEntry(ctx context.Context, id newel.TrainingID) (_ newel.Training, err error) {
	defer wrap(&err, "training entry %s", id)
	return one[newel.Training](ctx, tx, `select id, family_id, person_id, program_id, state, version_id, note, set_by, set_at
		from training t where $in(t) and t.id = @id`, args{"id": id})
}

// FirstSteps returns the help levels and the first step of each strand of every
// program's latest version, and nothing else.
func (tx *Tx) FirstSteps(ctx context.Context) (_ []program.Version, err error) {
	defer wrap(&err, "first steps")
	return many[program.Version](ctx, tx, `
		select distinct on (v.program_id) v.id, v.program_id, v.number, jsonb_build_object('help_levels', v.document -> 'help_levels', 'strands', (
			select jsonb_agg(jsonb_build_object('opens', s -> 'opens', 'steps', case when jsonb_array_length(s -> 'steps') > 0 then jsonb_build_array(s -> 'steps' -> 0) end) order by n)
			from jsonb_array_elements(v.document -> 'strands') with ordinality x (s, n))) as document
		from version v where $staff(v) and not v.own order by v.program_id, v.number desc`, nil)
}
