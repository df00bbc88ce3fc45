package app_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/programfile"
)

// bringIn imports a program from a file and publishes it.
func (s *schoolhouse) bringIn(t testing.TB, title string, needs []string, teaches ...program.TaughtSkill) (newel.ProgramID, error) {
	t.Helper()
	d := fixture.WashingHands()
	d.Title, d.Needs, d.Teaches = title, needs, teaches
	location, err := s.app.Import(t.Context(), s.Lead, app.NewForm(), programfile.Export(d))
	if err != nil {
		t.Fatal(err)
	}
	id, err := newel.ParseID[newel.ProgramID](strings.TrimSuffix(strings.TrimPrefix(location, "/programs/"), "/draft"))
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.app.Publish(t.Context(), s.Lead, app.NewForm(), id, app.DraftInput{Confirmed: "read", Rev: 1})
	return id, err
}

func (s *schoolhouse) skills(t testing.TB) app.LearnerSkills {
	t.Helper()
	v, err := s.app.LearnerSkills(t.Context(), s.Supervisor, s.Home.Learner)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestClinicSkills(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	for _, c := range []struct {
		who  newel.Actor
		in   app.SkillInput
		want []string
		err  error
	}{
		{s.Supervisor, app.SkillInput{Name: " Waits  60 s ", Area: "coping"}, nil, nil},
		{s.Lead, app.SkillInput{Name: "waits 60 S"}, []string{"name skills.name_taken"}, nil},
		{s.Lead, app.SkillInput{}, []string{"name field.required"}, nil},
		{s.Trainee, app.SkillInput{Name: "takes turns"}, nil, newel.ErrForbidden},
	} {
		_, err := s.app.AddSkill(t.Context(), c.who, app.NewForm(), c.in)
		if diff := cmp.Diff(c.want, problemKeys(err)); diff != "" || c.err != nil && !errors.Is(err, c.err) {
			t.Errorf("%+v: %v %s", c.in, err, diff)
		}
	}
	// A published program still refers to the skill by its old name.
	id, err := s.bringIn(t, "Waiting", []string{"first-then"}, program.TaughtSkill{Skill: "waits 60 s", Step: "b2"})
	if err != nil {
		t.Fatal(err)
	}
	v, err := s.app.Skills(t.Context(), s.Trainee)
	if err != nil || len(v.Skills) != 2 || v.Skills[1].Name != "Waits 60 s" {
		t.Fatalf("publishing should add new skills to the list: %+v, %v", v.Skills, err)
	}
	waiting := v.Skills[1].ID
	if _, err := s.app.ChangeSkill(t.Context(), s.Lead, app.NewForm(), waiting, app.SkillInput{Name: "Waits a minute", Area: "coping"}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.app.ChangeSkill(t.Context(), s.Lead, app.NewForm(), v.Skills[0].ID, app.SkillInput{Name: "waits 60 s"}); problemKeys(err) == nil {
		t.Error("another skill may take this one's former name:", err)
	}
	one, err := s.app.Skill(t.Context(), s.Trainee, waiting)
	if err != nil || one.Skill.Name != "Waits a minute" {
		t.Fatalf("%+v, %v", one.Skill, err)
	}
	teachers := one.Shelf.Teachers(one.Shelf.Key("Waits a minute"))
	if len(teachers) != 1 || teachers[0].ID != id || teachers[0].Teaches[0].Step != "B2" {
		t.Errorf("%+v", teachers)
	}
	if _, err := s.app.ArchiveSkill(t.Context(), s.Lead, app.NewForm(), waiting, true); err != nil {
		t.Error(err)
	}
	if _, err := s.app.ArchiveSkill(t.Context(), s.Trainee, app.NewForm(), waiting, true); !errors.Is(err, newel.ErrForbidden) {
		t.Error(err)
	}
}

func TestCircularSkillsAreNotPublished(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	if _, err := s.bringIn(t, "Pairs", []string{"waits"}, program.TaughtSkill{Skill: "takes turns"}); err != nil {
		t.Fatal("no program teaches it yet:", err)
	}
	id, err := s.bringIn(t, "Waiting", []string{"Takes Turns", "sits"}, program.TaughtSkill{Skill: "waits"})
	if diff := cmp.Diff([]string{"needs check.skill_circle"}, problemKeys(err)); diff != "" {
		t.Fatal(err, diff)
	}
	var invalid *newel.Invalid
	errors.As(err, &invalid)
	if got := invalid.Problems[0].Args["path"]; got != "Waiting → Pairs → Waiting" {
		t.Errorf("the path: %v", got)
	}
	// The suggested fix removes what closes the circle.
	v, err := s.app.Draft(t.Context(), s.Lead, id)
	if err != nil || v.Advice[0].Fix == nil {
		t.Fatalf("%+v, %v", v.Advice, err)
	}
	mended := v.Advice[0].Fix.Apply(&v.Draft.Document)
	if _, err := s.app.Publish(t.Context(), s.Lead, app.NewForm(), id, app.DraftInput{Confirmed: "read", Rev: v.Draft.Rev, Sheet: mended.Sheet()}); err != nil {
		t.Error(err)
	}
}

func TestLearnerSkills(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	hands, err := s.bringIn(t, "Hands", nil, program.TaughtSkill{Skill: "hangs up a towel", Step: "b1"}, program.TaughtSkill{Skill: "washes hands"})
	if err != nil {
		t.Fatal(err)
	}
	party, err := s.bringIn(t, "Party", []string{"hangs up a towel", "greets"})
	if err != nil {
		t.Fatal(err)
	}
	note := func(who newel.Actor, in app.SkillNoteInput) error {
		_, err := s.app.RecordSkill(t.Context(), who, app.NewForm(), s.Home.Learner, in)
		return err
	}
	today := newel.DayOf(s.now, s.now.Location()).String()
	for _, c := range []struct {
		in   app.SkillNoteInput
		want []string
	}{
		{app.SkillNoteInput{}, []string{"skill field.required", "status skills.choose_status", "on field.required"}},
		{app.SkillNoteInput{Skill: "flies", Status: "emerging", On: "2999-01-01"}, []string{"skill skills.not_listed", "on field.date_future"}},
		{app.SkillNoteInput{Skill: "Greets", Status: "acquired", On: today}, []string{"evidence skills.evidence_needed"}},
		{app.SkillNoteInput{Skill: "greets", Status: "not_yet", On: today}, nil},
		{app.SkillNoteInput{Skill: "Greets", Status: "acquired", On: today, Evidence: "three neighbours"}, nil},
	} {
		if diff := cmp.Diff(c.want, problemKeys(note(s.Supervisor, c.in))); diff != "" {
			t.Errorf("%+v: %s", c.in, diff)
		}
	}
	if err := note(s.Trainee, app.SkillNoteInput{Skill: "greets", Status: "not_yet", On: today}); !errors.Is(err, newel.ErrForbidden) {
		t.Error("a trainee may record skills:", err)
	}
	// A missing skill needs a confirmation, which the audit trail records.
	in := app.AssignInput{Program: party.String()}
	_, err = s.app.Assign(t.Context(), s.Supervisor, app.NewForm(), s.Home.Learner, in)
	if diff := cmp.Diff([]string{"all_the_same assign.skills_lacking"}, problemKeys(err)); diff != "" {
		t.Fatal(err, diff)
	}
	in.AllTheSame = true
	if _, err := s.app.Assign(t.Context(), s.Supervisor, app.NewForm(), s.Home.Learner, in); err != nil {
		t.Fatal(err)
	}
	if n := s.count(t, `select count(*) from audit where deed = 'teaching.assigned_all_the_same'`, nil); n != 1 {
		t.Errorf("%d entries in the audit trail", n)
	}
	// A step that is met is proposed and can be recorded with one button.
	if _, err := s.app.Assign(t.Context(), s.Supervisor, app.NewForm(), s.Home.Learner, app.AssignInput{Program: hands.String()}); err != nil {
		t.Fatal(err)
	}
	if v := s.skills(t); len(v.Proposed) != 0 || len(v.Order) != 2 || v.Order[0].Program.ID != hands || !v.Order[0].Taught || len(v.Order[0].Opens) != 1 {
		t.Errorf("a program that leads to another should come first: %+v", v.Order)
	}
	var placement newel.PlacementID
	row := s.DB.Bypass.QueryRow(t.Context(), `select p.id from placement p join assignment a on a.id = p.assignment_id where a.program_id = $1`, hands)
	if err := row.Scan(&placement); err != nil {
		t.Fatal(err)
	}
	s.teach(t, placement, "aaaaa", "aaaaa", "aaaaa")
	v := s.skills(t)
	if len(v.Proposed) != 1 || v.Proposed[0].Skill.Name != "hangs up a towel" || v.Proposed[0].On.Step != "B1" || v.Proposed[0].On.PlacementID != placement {
		t.Fatalf("proposed: %+v", v.Proposed)
	}
	taken := app.SkillNoteInput{Skill: v.Proposed[0].Skill.Name, Status: "acquired", On: v.Proposed[0].On.MetOn.String(), Placement: placement.String()}
	if err := note(s.Lead, taken); err != nil {
		t.Fatal(err)
	}
	v = s.skills(t)
	if len(v.Proposed) != 0 || len(v.Notes) != 3 || len(v.Blocked) != 0 || len(v.Order) != 2 {
		t.Errorf("afterwards: %d proposed, %d notes, order %+v, blocked %+v", len(v.Proposed), len(v.Notes), v.Order, v.Blocked)
	}
	if diff := cmp.Diff([]string{"B1"}, v.At[hands]); diff != "" {
		t.Error(diff)
	}
	if n := s.count(t, `select count(*) from skill_note where placement_id = @p`, pgx.NamedArgs{"p": placement}); n != 1 {
		t.Errorf("%d notes refer to the placement", n)
	}
	// Another learner's placement is not evidence.
	if _, err := s.app.RecordSkill(t.Context(), s.Lead, app.NewForm(), s.NextDoor.Learner, taken); !errors.Is(err, newel.ErrNotFound) {
		t.Error(err)
	}
}
