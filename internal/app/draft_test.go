package app_test

import (
	"errors"
	"strconv"
	"sync"
	"testing"
	"time"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/revision"
)

// save saves some fields as typed, based on a revision.
func (s *schoolhouse) save(t testing.TB, who newel.Actor, id newel.ProgramID, rev int, fields map[string]string, edit *app.DraftEdit) app.DraftSaved {
	t.Helper()
	out, err := s.app.SaveDraft(t.Context(), who, app.NewForm(), id, app.DraftInput{Rev: rev, Sheet: program.Sheet{Fields: fields}, Edit: edit, Piecemeal: true})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func firstStep(d program.Document) string { return d.Strands[0].Steps[0].Key }

func TestEditsInDifferentFieldsAreBothKept(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	key := firstStep(v.Draft.Document)
	s.save(t, s.Lead, id, v.Draft.Rev, map[string]string{"purpose": "the lead's", program.StepField(key, "name"): "Towel"}, nil)
	// The trainee started from the same revision and sends one more field.
	out := s.save(t, s.Trainee, id, v.Draft.Rev, map[string]string{"setting": "the trainee's", "purpose": ""}, nil)
	if len(out.Conflicts) != 0 {
		t.Fatalf("conflicts: %+v", out.Conflicts)
	}
	d := out.View.Draft.Document
	if _, step := d.Step(key); d.Purpose != "the lead's" || d.Setting != "the trainee's" || step.Name != "Towel" {
		t.Errorf("kept: %q, %q, %q", d.Purpose, d.Setting, step.Name)
	}
}

func TestPiecemealSavesFieldsWithoutConflict(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	s.save(t, s.Lead, id, v.Draft.Rev, map[string]string{"purpose": "the lead's"}, nil)
	out := s.save(t, s.Trainee, id, v.Draft.Rev, map[string]string{"purpose": "the trainee's", "setting": "kitchen"}, nil)
	if len(out.Conflicts) != 1 || out.Conflicts[0] != (revision.FieldConflict{Name: "purpose", Mine: "the trainee's", Theirs: "the lead's"}) {
		t.Fatalf("conflicts: %+v", out.Conflicts)
	}
	if d := out.View.Draft.Document; d.Purpose != "the lead's" || d.Setting != "kitchen" {
		t.Errorf("stored: %q, %q", d.Purpose, d.Setting)
	}
	// Having seen the conflict, the trainee sends it again from the current
	// revision, and it is saved.
	out = s.save(t, s.Trainee, id, out.View.Draft.Rev, map[string]string{"purpose": "the trainee's"}, nil)
	if d := out.View.Draft.Document; len(out.Conflicts) != 0 || d.Purpose != "the trainee's" {
		t.Errorf("second time: %+v, %q", out.Conflicts, d.Purpose)
	}
}

func TestUndoAndRedo(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	type fields = map[string]string
	rev := v.Draft.Rev
	do := func(f fields, edit *app.DraftEdit) program.Draft {
		t.Helper()
		out := s.save(t, s.Lead, id, rev, f, edit)
		rev = out.View.Draft.Rev
		return out.View.Draft
	}
	undo, redo := &app.DraftEdit{Undo: true}, &app.DraftEdit{Redo: true}
	do(fields{"purpose": "a"}, nil)
	s.now = s.now.Add(10 * time.Second)
	do(fields{"purpose": "ab"}, nil) // continued typing is one deed
	s.now = s.now.Add(time.Hour)
	do(fields{"purpose": "abc"}, nil)
	if d := do(nil, undo); d.Document.Purpose != "ab" || d.RedoTo == nil {
		t.Errorf("undone: %q", d.Document.Purpose)
	}
	if d := do(nil, undo); d.Document.Purpose != "" || d.UndoTo != nil {
		t.Errorf("undone twice: %q", d.Document.Purpose)
	}
	if d := do(nil, redo); d.Document.Purpose != "ab" {
		t.Errorf("redone: %q", d.Document.Purpose)
	}
	if d := do(nil, redo); d.Document.Purpose != "abc" || d.RedoTo != nil {
		t.Errorf("redone twice: %q", d.Document.Purpose)
	}
	if d := do(nil, undo); d.Document.Purpose != "ab" {
		t.Errorf("undone after redoing: %q", d.Document.Purpose)
	}
	// Text typed together with undo is what gets undone.
	if d := do(fields{"setting": "kitchen"}, undo); d.Document.Setting != "" || d.Document.Purpose != "ab" {
		t.Errorf("typed and undone: %q, %q", d.Document.Setting, d.Document.Purpose)
	}
}

func TestDraftStatesAreLimited(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	rev := v.Draft.Rev
	for i := range program.DraftStates + 3 {
		rev = s.save(t, s.Lead, id, rev, map[string]string{"purpose": strconv.Itoa(i)}, nil).View.Draft.Rev
	}
	if n := s.count(t, `select count(*) from draft_state where clinic_id = @clinic`, nil); n != program.DraftStates {
		t.Errorf("%d states are stored", n)
	}
	// An editor that started before the oldest state is asked about every
	// difference.
	out := s.save(t, s.Trainee, id, 1, map[string]string{"purpose": "from long ago"}, nil)
	if len(out.Conflicts) != 1 || out.View.Draft.Document.Purpose != strconv.Itoa(program.DraftStates+2) {
		t.Errorf("conflicts %+v, stored %q", out.Conflicts, out.View.Draft.Document.Purpose)
	}
}

func TestPublishingAsksForTheConfirmationAndKeepsIt(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	_, err := s.app.Publish(t.Context(), s.Lead, app.NewForm(), id, app.DraftInput{Rev: v.Draft.Rev, Sheet: written()})
	if keys := problemKeys(err); len(keys) != 1 || keys[0] != "confirmed program.not_confirmed" {
		t.Fatalf("err = %v", err)
	}
	if _, err := s.app.SubmitDraft(t.Context(), s.Trainee, app.NewForm(), id, app.DraftInput{Rev: v.Draft.Rev + 1}); err != nil {
		t.Fatal(err)
	}
	if v, err = s.app.Draft(t.Context(), s.Lead, id); err != nil || v.Draft.HandedInBy != s.Trainee.Name {
		t.Fatalf("submitted by %q, %v", v.Draft.HandedInBy, err)
	}
	if _, err := s.app.Publish(t.Context(), s.Lead, app.NewForm(), id, app.DraftInput{Rev: v.Draft.Rev, Confirmed: "nothing hurts"}); err != nil {
		t.Fatal(err)
	}
	p, err := s.app.Program(t.Context(), s.Lead, id)
	if err != nil || p.Version.Confirmed != "nothing hurts" {
		t.Errorf("confirmed %q, %v", p.Version.Confirmed, err)
	}
	if n := s.count(t, `select count(*) from draft_state where clinic_id = @clinic`, nil); n != 0 {
		t.Errorf("%d states remain after the draft", n)
	}
	if _, err := s.app.Draft(t.Context(), s.Lead, id); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("the draft is still there: %v", err)
	}
}

func TestConcurrentSavesLoseNothing(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	fields := []string{"purpose", "setting", "for_whom", "cautions", "stop_rule", "say", "if_right", "generalize"}
	errs := make([]error, len(fields))
	var wg sync.WaitGroup
	for i, name := range fields {
		wg.Go(func() {
			_, errs[i] = s.app.SaveDraft(t.Context(), s.Lead, app.NewForm(), id, app.DraftInput{
				Rev: v.Draft.Rev, Sheet: program.Sheet{Fields: map[string]string{name: "by " + name}},
			})
		})
	}
	wg.Wait()
	after, err := s.app.Draft(t.Context(), s.Lead, id)
	if err != nil {
		t.Fatal(err)
	}
	kept := after.Draft.Document.Sheet().Fields
	for i, name := range fields {
		if errs[i] != nil || kept[name] != "by "+name {
			t.Errorf("%s: %v, kept %q", name, errs[i], kept[name])
		}
	}
}
