package app_test

import (
	"encoding/json"
	"errors"
	"log/slog"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/criterion"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/postgres"
	"newel/internal/program"
)

// schoolhouse is an app on a fixture.World.
type schoolhouse struct {
	*fixture.World
	app *app.App
	now time.Time
}

func newSchoolhouse(t testing.TB) *schoolhouse {
	t.Helper()
	db := pgtest.New(t)
	s := &schoolhouse{World: fixture.Clinic(t, db)}
	s.now = s.Now
	clock := func() time.Time { return s.now }
	s.app = app.New(postgres.FromPool(db.App, clock), slog.New(slog.DiscardHandler), clock)
	return s
}

func (s *schoolhouse) count(t testing.TB, query string, in pgx.NamedArgs) int {
	t.Helper()
	all := pgx.NamedArgs{"clinic": s.Clinic}
	for k, v := range in {
		all[k] = v
	}
	var n int
	if err := s.DB.Bypass.QueryRow(t.Context(), query, all).Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}

// draft starts a program of the lead's and returns its id and draft.
func (s *schoolhouse) draft(t testing.TB) (newel.ProgramID, app.DraftView) {
	t.Helper()
	location, err := s.app.NewProgram(t.Context(), s.Lead, app.NewForm(), app.ProgramInput{Title: "Washing hands", SkillArea: "self-care"})
	if err != nil {
		t.Fatal(err)
	}
	text := strings.TrimSuffix(strings.TrimPrefix(location, "/programs/"), "/draft")
	id, err := newel.ParseID[newel.ProgramID](text)
	if err != nil {
		t.Fatal(err)
	}
	v, err := s.app.Draft(t.Context(), s.Lead, id)
	if err != nil {
		t.Fatal(err)
	}
	return id, v
}

// written returns the fixture's program as a draft form would submit it.
func written() program.Sheet {
	d := fixture.WashingHands()
	return d.Sheet()
}

// problemKeys lists field and key of each problem of an *newel.Invalid.
func problemKeys(err error) []string {
	var invalid *newel.Invalid
	if !errors.As(err, &invalid) {
		return nil
	}
	var keys []string
	for _, p := range invalid.Problems {
		keys = append(keys, p.Field+" "+p.Key)
	}
	return keys
}

func TestProgramFromDraftToVersion(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	form := app.NewForm()
	in := app.DraftInput{Confirmed: "read", Rev: v.Draft.Rev, Sheet: written()}
	location, err := s.app.Publish(t.Context(), s.Lead, form, id, in)
	if err != nil {
		t.Fatal(err)
	}
	again, err := s.app.Publish(t.Context(), s.Lead, form, id, in)
	if err != nil || again != location {
		t.Errorf("sent twice: %q, %v; want %q", again, err, location)
	}
	p, err := s.app.Program(t.Context(), s.Lead, id)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Versions) != 1 || p.Version == nil || p.HasDraft {
		t.Fatalf("published: %+v", p)
	}
	want, got := fixture.WashingHands().Strands, p.Version.Document.Strands
	for i := range got[0].Steps {
		for j := range got[0].Steps[i].Targets { // targets get new keys
			got[0].Steps[i].Targets[j].Key = want[0].Steps[i].Targets[j].Key
		}
	}
	if diff := cmp.Diff(want[0].Steps[1].Criterion, got[0].Steps[1].Criterion); diff != "" {
		t.Error(diff)
	}
	if hash, _ := p.Version.Document.Hash(); hash == "" || s.count(t, `select count(*) from step where version_id = @v`, pgx.NamedArgs{"v": p.Version.ID}) != 3 {
		t.Error("the steps were not stored")
	}
	// A revision starts from the version and becomes number 2.
	if _, err := s.app.BeginDraft(t.Context(), s.Trainee, app.NewForm(), id); err != nil {
		t.Fatal(err)
	}
	revised, err := s.app.Draft(t.Context(), s.Trainee, id)
	if err != nil || revised.Published != 1 {
		t.Fatalf("revision: %+v, %v", revised, err)
	}
	in = app.DraftInput{Confirmed: "read", Rev: revised.Draft.Rev, Sheet: revised.Draft.Document.Sheet()}
	if _, err := s.app.Publish(t.Context(), s.Lead, app.NewForm(), id, in); err != nil {
		t.Fatal(err)
	}
	if p, err = s.app.Program(t.Context(), s.Lead, id); err != nil || p.Version.Number != 2 || len(p.Versions) != 2 {
		t.Errorf("second version: %+v, %v", p, err)
	}
}

func TestStoredDocumentHashesToWhatWasSigned(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	v := s.Publish(t, fixture.WhichCup())
	p, err := s.app.Program(t.Context(), s.Lead, v.ProgramID)
	if err != nil {
		t.Fatal(err)
	}
	if hash, err := p.Version.Document.Hash(); err != nil || hash != v.Hash {
		t.Errorf("read back it hashes to %s (%v), stored was %s", hash, err, v.Hash)
	}
}

func TestDraftKeepsAnythingTyped(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	sheet := written()
	for name, typed := range map[string]string{
		"title":              strings.Repeat("قل", 300),
		"purpose":            strings.Repeat("long ", 3000),
		"cautions":           "<script>alert(1)</script> & \"quotes\" 🧼",
		"wait_seconds":       "five",
		"steps.b1.trials":    "plenty",
		"steps.b2.criterion": "most of the time",
	} {
		sheet.Fields[name] = typed
	}
	if _, err := s.app.SaveDraft(t.Context(), s.Trainee, app.NewForm(), id, app.DraftInput{Rev: v.Draft.Rev, Sheet: sheet}); err != nil {
		t.Fatal(err)
	}
	after, err := s.app.Draft(t.Context(), s.Lead, id)
	if err != nil {
		t.Fatal(err)
	}
	kept := after.Draft.Document.Sheet()
	for name, typed := range sheet.Fields {
		if kept.Fields[name] != strings.TrimSpace(typed) {
			t.Errorf("%s was not kept as typed", name)
		}
	}
	// Publishing fails with each problem at its field, and the draft is kept.
	_, err = s.app.Publish(t.Context(), s.Lead, app.NewForm(), id, app.DraftInput{Confirmed: "read", Rev: after.Draft.Rev, Sheet: kept})
	want := []string{
		"steps.b1.trials program.number", "wait_seconds program.seconds", "title field.too_long", "purpose field.too_long",
		"steps.b2.criterion criterion.goal",
	}
	if diff := cmp.Diff(want, problemKeys(err)); diff != "" {
		t.Errorf("problems (%v):\n%s", err, diff)
	}
	if last, err := s.app.Draft(t.Context(), s.Lead, id); err != nil || last.Draft.Rev != after.Draft.Rev {
		t.Errorf("the draft was not saved by publishing: %+v %v", last.Draft.Rev, err)
	}
	if n := s.count(t, `select count(*) from version where program_id = @p`, pgx.NamedArgs{"p": id}); n != 0 {
		t.Errorf("%d versions", n)
	}
}

func TestDraftRefusesOnlyInvalidText(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	for field, typed := range map[string]string{"purpose": "a\x00b", "say": "\xff\xfe"} {
		sheet := written()
		sheet.Fields[field] = typed
		_, err := s.app.SaveDraft(t.Context(), s.Lead, app.NewForm(), id, app.DraftInput{Rev: v.Draft.Rev, Sheet: sheet})
		if keys := problemKeys(err); len(keys) != 1 || !strings.HasPrefix(keys[0], field+" field.") {
			t.Errorf("%s: %v", field, err)
		}
	}
}

func TestConflictingEditsAreBothKept(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	first, second := written(), written()
	first.Fields["purpose"], second.Fields["purpose"] = "the lead's words", "the trainee's words"
	if _, err := s.app.SaveDraft(t.Context(), s.Lead, app.NewForm(), id, app.DraftInput{Rev: v.Draft.Rev, Sheet: first}); err != nil {
		t.Fatal(err)
	}
	_, err := s.app.SaveDraft(t.Context(), s.Trainee, app.NewForm(), id, app.DraftInput{Rev: v.Draft.Rev, Sheet: second})
	var conflict *app.DraftConflict
	if !errors.As(err, &conflict) || !errors.Is(err, newel.ErrConflict) {
		t.Fatalf("err = %v", err)
	}
	if conflict.Mine.Fields["purpose"] != "the trainee's words" || conflict.Theirs.Draft.Document.Purpose != "the lead's words" || conflict.Theirs.Draft.UpdatedByName != s.Lead.Name {
		t.Errorf("conflict = %+v", conflict)
	}
	// The same text at an old revision is not a conflict: it is a second click.
	if _, err := s.app.SaveDraft(t.Context(), s.Trainee, app.NewForm(), id, app.DraftInput{Rev: v.Draft.Rev, Sheet: first}); err != nil {
		t.Errorf("same text again: %v", err)
	}
}

func TestTraineeMayDraftButNotPublish(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	_, err := s.app.Publish(t.Context(), s.Trainee, app.NewForm(), id, app.DraftInput{Confirmed: "read", Rev: v.Draft.Rev, Sheet: written()})
	if !errors.Is(err, newel.ErrForbidden) {
		t.Errorf("err = %v", err)
	}
	after, err := s.app.Draft(t.Context(), s.Trainee, id)
	if err != nil || after.Draft.Document.Purpose != "Clean hands before food." {
		t.Errorf("the trainee's text was lost: %v", err)
	}
	if _, err := s.app.Assign(t.Context(), s.Trainee, app.NewForm(), s.Home.Learner, app.AssignInput{}); !errors.Is(err, newel.ErrForbidden) {
		t.Errorf("assign: %v", err)
	}
	if _, err := s.app.Library(t.Context(), s.Home.Caregiver); !errors.Is(err, newel.ErrForbidden) {
		t.Errorf("a caregiver in the library: %v", err)
	}
}

func TestPublishedVersionsCannotBeChanged(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	v := s.Publish(t, fixture.WashingHands())
	for _, statement := range []string{
		`update version set document = '{}' where id = $1`, `delete from version where id = $1`, `update step set name = 'x' where version_id = $1`,
		`delete from step where version_id = $1`,
	} {
		_, err := s.DB.App.Exec(t.Context(), statement, v.ID)
		// 42501 is insufficient_privilege (PostgreSQL manual, appendix A).
		if err == nil || !strings.Contains(err.Error(), "42501") {
			t.Errorf("%s: %v", statement, err)
		}
	}
}

func TestOtherClinicsProgramsAreNotFound(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	other := fixture.Clinic(t, s.DB)
	if _, err := s.app.Program(t.Context(), other.Lead, id); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("program: %v", err)
	}
	if _, err := s.app.Draft(t.Context(), other.Lead, id); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("draft: %v", err)
	}
	if _, err := s.app.SaveDraft(t.Context(), other.Lead, app.NewForm(), id, app.DraftInput{Rev: v.Draft.Rev, Sheet: written()}); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("save: %v", err)
	}
	if _, err := s.app.BeginDraft(t.Context(), other.Lead, app.NewForm(), id); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("revise: %v", err)
	}
	if programs, err := s.app.Library(t.Context(), other.Lead); err != nil || len(programs) != 0 {
		t.Errorf("library: %v, %v", programs, err)
	}
}

func TestConcurrentPublishesGetConsecutiveNumbers(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	id, v := s.draft(t)
	in := app.DraftInput{Confirmed: "read", Rev: v.Draft.Rev, Sheet: written()}
	var wg sync.WaitGroup
	errs := make([]error, 4)
	for i := range errs {
		wg.Go(func() { _, errs[i] = s.app.Publish(t.Context(), s.Lead, app.NewForm(), id, in) })
	}
	wg.Wait()
	published := 0
	for _, err := range errs {
		switch {
		case err == nil:
			published++
		case !errors.Is(err, newel.ErrConflict) && !errors.Is(err, newel.ErrNotFound): // the draft is gone
			t.Errorf("err = %v", err)
		}
	}
	if n := s.count(t, `select count(*) from version where program_id = @p`, pgx.NamedArgs{"p": id}); published != 1 || n != 1 {
		t.Errorf("%d published, %d versions", published, n)
	}
}

func readingOf(t testing.TB, body json.RawMessage) (r criterion.Reading) {
	t.Helper()
	if err := json.Unmarshal(body, &r); err != nil {
		t.Fatal(err)
	}
	return r
}
