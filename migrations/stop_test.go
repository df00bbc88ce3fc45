package migrations_test

import (
	"fmt"
	"testing"

	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/pgtest/tenants"
	"newel/migrations"
)

// TestTalksKeepTheirMeaning: before migration 23, a talk after the no lifted the
// pause, and one before it did not. Later talks lift nothing.
func TestTalksKeepTheirMeaning(t *testing.T) {
	t.Parallel()
	pg := pgtest.NewWith(t, empty)
	if err := migrations.UpTo(t.Context(), pg.OwnerURL, 22); err != nil {
		t.Fatal(err)
	}
	loadRows(t, pg.Bypass, keptUpTo(t, 22))
	ids := column[string](t, pg.Bypass, `select id::text from talk order by id`)
	if len(ids) < 2 {
		t.Fatalf("only %d talks to migrate", len(ids))
	}
	for i, id := range ids {
		if _, err := pg.Bypass.Exec(t.Context(), `update talk set rests = $2 where id = $1`, id, i%2 == 1); err != nil {
			t.Fatal(err)
		}
	}
	states := column[string](t, pg.Bypass, `select id::text || state from assignment order by id`)
	if err := migrations.UpTo(t.Context(), pg.OwnerURL, 23); err != nil {
		t.Fatal(err)
	}
	if wrong := column[int64](t, pg.Bypass, `select count(*) from talk where lifted = rests or line <> ''`)[0]; wrong != 0 {
		t.Errorf("%d talks mean something else", wrong)
	}
	if now := column[string](t, pg.Bypass, `select id::text || state from assignment order by id`); fmt.Sprint(now) != fmt.Sprint(states) {
		t.Errorf("assignments were %v and are %v", states, now)
	}
}

// TestOnlyStaffLiftAPause tries the statements that would start a program again
// with the application's role in scopes of the family and of its supervisor.
func TestOnlyStaffLiftAPause(t *testing.T) {
	t.Parallel()
	pg, w := tenants.New(t)
	f, other := w.Here.Families[0], w.Here.Families[1]
	if _, err := pg.Bypass.Exec(t.Context(), `update assignment set state = 'resting' where id = $1`, f.Assignment); err != nil {
		t.Fatal(err)
	}
	const (
		start  = `update assignment set state = 'active' where id = $1`
		pause  = `update assignment set state = 'resting' where id = $1`
		decide = `insert into decision (clinic_id, family_id, id, placement_id, kind, closes, reason, agreed_on, decided_by, decided_at)
			select clinic_id, family_id, gen_random_uuid(), id, 'lift', false, 'agreed', '2026-03-01', $2, now() from placement where id = $1`
		talk = `insert into talk (clinic_id, family_id, id, assignment_id, made_by, talked_at, rests, lifted, received_at)
			select clinic_id, family_id, gen_random_uuid(), id, $2, now(), true, $3, now() from assignment where id = $1`
	)
	for name, c := range map[string]struct {
		scope newel.Scope
		sql   string
		args  []any
		want  int64
	}{
		"a caregiver starts it":                  {f.Scope(), start, []any{f.Assignment}, 0},
		"a caregiver pauses it":                  {f.Scope(), pause, []any{f.Assignment}, 1},
		"a caregiver decides":                    {f.Scope(), decide, []any{f.Placement, f.Caregiver}, 0},
		"a supervisor starts it":                 {f.SupervisorScope(), start, []any{f.Assignment}, 1},
		"a supervisor decides":                   {f.SupervisorScope(), decide, []any{f.Placement, f.Supervisor}, 1},
		"another supervisor starts it":           {other.SupervisorScope(), start, []any{f.Assignment}, 0},
		"another supervisor decides":             {other.SupervisorScope(), decide, []any{f.Placement, other.Supervisor}, 0},
		"a caregiver talks":                      {f.Scope(), talk, []any{f.Assignment, f.Caregiver, false}, 1},
		"a caregiver talks and thereby lifts it": {f.Scope(), talk, []any{f.Assignment, f.Caregiver, true}, 0},
		"a caregiver talks in another's name":    {f.Scope(), talk, []any{f.Assignment, f.Supervisor, false}, 0},
		"a neighbor talks":                       {other.Scope(), talk, []any{f.Assignment, other.Caregiver, false}, 0},
	} {
		if got := rows(t, pg, c.scope, c.sql, c.args...); got != c.want {
			t.Errorf("%s: %d rows, want %d", name, got, c.want)
		}
	}
}
