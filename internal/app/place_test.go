package app_test

import (
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/recording"
)

// at sets the place of a session.
func at(place string) func(*recording.Document) {
	return func(d *recording.Document) { d.Header.Place = recording.Rev(1, place) }
}

// TestOldAndNewPlacesAreOne checks that a criterion across two places counts a
// label from an old phone and a code from a new one as the same place, whether
// the server reads the label today or stored it long ago.
func TestOldAndNewPlacesAreOne(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	d := fixture.WashingHands()
	d.Strands[0].Steps[0].Criterion = "80% independent in 2 sessions in a row, across 2 places"
	placement := s.assigned(t, d)["b1"]

	old := s.record(t, placement, 5, "aaaaa", at("out and about"))
	s.record(t, placement, 4, "aaaaa", at("out"))
	if p := s.progress(t, placement); p.Row.Gist.Met() {
		t.Errorf("out counts as two places: %+v", p.Said)
	}

	// As stored by a server that did not know codes.
	if _, err := s.DB.Bypass.Exec(t.Context(),
		`update recording set session = jsonb_set(session, '{place}', '"out and about"') where id = @id`, pgx.NamedArgs{"id": old}); err != nil {
		t.Fatal(err)
	}
	s.record(t, placement, 3, "aaaaa", at("out"))
	p := s.progress(t, placement)
	if p.Row.Gist.Met() {
		t.Errorf("out counts as two places: %+v", p.Said)
	}
	for _, row := range p.Sessions {
		if row.Of.Place != newel.PlaceOut {
			t.Errorf("session %s was at %q", row.ID, row.Of.Place)
		}
	}
	s.verified(t)

	s.record(t, placement, 2, "aaaaa", at("home"))
	if p := s.progress(t, placement); !p.Row.Gist.Met() {
		t.Errorf("out and home do not count as two places: %+v", p.Said)
	}
}

// TestDamagedSessionDoesNotBlockRecording checks that the next session is stored
// although an earlier one cannot be decoded, and that the placement is evaluated
// again later.
func TestDamagedSessionDoesNotBlockRecording(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	placement := s.assigned(t, fixture.WashingHands())["b1"]
	damaged := s.record(t, placement, 5, "aaaaa", at("home"))
	if _, err := s.DB.Bypass.Exec(t.Context(),
		`update recording set session = '{"id": 1}' where id = @id`, pgx.NamedArgs{"id": damaged}); err != nil {
		t.Fatal(err)
	}
	next := fixture.Session{House: s.Home.Household(placement), Start: s.now.Add(-2 * time.Hour), Marks: "aaaaa"}.Document()
	_, err := s.app.StoreRecording(t.Context(), s.Home.Caregiver, app.Delivered{ID: next.ID, Body: next.Encode()})
	if err != nil {
		t.Error(err)
	}
	var kept, stale bool
	if err := s.DB.Bypass.QueryRow(t.Context(), `select exists (select from recording where id = @id),
		(select stale from reading where placement_id = @placement)`,
		pgx.NamedArgs{"id": next.ID, "placement": placement}).Scan(&kept, &stale); err != nil {
		t.Fatal(err)
	}
	if !kept || !stale {
		t.Errorf("kept %v, stale %v", kept, stale)
	}
}
