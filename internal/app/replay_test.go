package app_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
)

// days records a session of five trials on each day, with the given numbers
// correct.
func days(t *testing.T, b *bench, h fixture.Household, right ...int) {
	t.Helper()
	for day, n := range right {
		s := fixture.Session{House: h, Start: evening.AddDate(0, 0, day), Marks: strings.Repeat("0", n) + strings.Repeat("n", 5-n)}
		b.mustPut(t, h.Caregiver, s.Document())
	}
}

func TestReplayForOneLearner(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	b.now = func() time.Time { return evening.AddDate(0, 0, 20).UTC() }
	days(t, b, b.Home, 2, 4, 4, 3, 4, 4, 4) // 80 % three times in a row at the seventh
	try := func(actor newel.Actor, criterion string) (app.ReplayView, error) {
		return b.app.ReplayLearner(t.Context(), actor, b.Home.Placement, app.ReplayInput{Criterion: criterion, Given: criterion != ""})
	}
	for _, c := range []struct {
		criterion string
		now       int
	}{{"", 7}, {"80% in 2 sessions in a row", 3}, {"100% in 2 sessions in a row", 0}} {
		v, err := try(b.Supervisor, c.criterion)
		if err != nil || len(v.Stays) != 1 {
			t.Fatalf("%q: %+v, %v", c.criterion, v, err)
		}
		if s := v.Stays[0]; s.Was.MetAt != 7 || s.Now.MetAt != c.now || s.Sessions != 7 {
			t.Errorf("%q: %+v", c.criterion, s)
		}
	}
	v, err := try(b.Supervisor, "80% now and then")
	if _, told := v.Problems["criterion"]; err != nil || !told || v.In.Criterion != "80% now and then" {
		t.Errorf("the invalid criterion is not reported: %+v, %v", v, err)
	}
	stranger := b.Supervisor
	stranger.Families = nil
	if _, err := try(stranger, ""); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("another's learner: %v", err)
	}
}

// Counts cover only learners in reach, and only if there are enough of them
// that no one can be identified.
func TestReplayCountsIdentifyNoOne(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	b.now = func() time.Time { return evening.AddDate(0, 0, 20).UTC() }
	program := programOf(t, b)
	in := app.ReplayInput{Criterion: "80% in 2 sessions in a row", Given: true}
	replay := func(actor newel.Actor) app.ReplayView {
		t.Helper()
		v, err := b.app.Replay(t.Context(), actor, program, "s1", in)
		if err != nil {
			t.Fatal(err)
		}
		if len(v.Stays) > 0 {
			t.Errorf("single placements are shown: %+v", v.Stays)
		}
		return v
	}
	days(t, b, b.Home, 4, 4, 3, 4, 4, 4)
	days(t, b, b.NextDoor, 2, 4, 4, 4)
	if v := replay(b.Lead); !v.TooFew || v.Learners != 2 || v.Sum.Stays != 0 || !v.WholeClinic {
		t.Errorf("two learners: %+v", v)
	}
	for range app.ReplayLearners - 2 {
		another(t, b)
	}
	if v := replay(b.Lead); v.TooFew || v.Learners != app.ReplayLearners || v.Sum.Stays != 5 || v.Sum.MetWas != 5 || v.Sum.MetNow != 5 || v.Sum.Earlier != 5 {
		t.Errorf("five learners: %+v", v)
	}
	if v := replay(b.Supervisor); !v.TooFew || v.Learners != 1 || v.WholeClinic {
		t.Errorf("one's own caseload: %+v", v)
	}
}

// another copies the family at home, with its learner and sessions.
func another(t *testing.T, b *bench) {
	t.Helper()
	ids := pgx.NamedArgs{
		"family": newel.NewID[newel.FamilyID](), "learner": newel.NewID[newel.LearnerID](), "assignment": newel.NewID[newel.AssignmentID](),
		"placement": newel.NewID[newel.PlacementID](), "from": b.Home.Placement,
	}
	for _, statement := range []string{
		`insert into family select (jsonb_populate_record(f, jsonb_build_object('id', @family::uuid))).* from family f join placement p on p.family_id = f.id where p.id = @from`,
		`insert into learner select (jsonb_populate_record(l, jsonb_build_object('id', @learner::uuid, 'family_id', @family::uuid))).* from learner l
			join placement p on p.family_id = l.family_id where p.id = @from`,
		`insert into assignment select (jsonb_populate_record(a, jsonb_build_object('id', @assignment::uuid, 'family_id', @family::uuid, 'learner_id', @learner::uuid))).*
			from assignment a join placement p on p.assignment_id = a.id where p.id = @from`,
		`insert into placement select (jsonb_populate_record(p, jsonb_build_object('id', @placement::uuid, 'family_id', @family::uuid, 'assignment_id', @assignment::uuid))).*
			from placement p where p.id = @from`,
		`insert into recording select (jsonb_populate_record(r, jsonb_build_object('id', gen_random_uuid(), 'family_id', @family::uuid, 'placement_id', @placement::uuid, 'by_id', null))).*
			from recording r where r.placement_id = @from`,
	} {
		if _, err := b.DB.Bypass.Exec(t.Context(), statement, ids); err != nil {
			t.Fatalf("%v in %s", err, statement)
		}
	}
}
