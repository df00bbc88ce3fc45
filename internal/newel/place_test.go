package newel_test

import (
	"encoding/json"
	"errors"
	"reflect"
	"testing"

	"newel/internal/newel"
)

// TestPlaceOf: what phones recorded before places had codes is read as a code,
// and text that no phone ever offered is left alone.
func TestPlaceOf(t *testing.T) {
	t.Parallel()
	for recorded, want := range map[string]string{
		"home": newel.PlaceHome, "out and about": newel.PlaceOut, "clinic": newel.PlaceClinic, "out": newel.PlaceOut,
		"Grandma’s kitchen": "Grandma’s kitchen", "Home": "Home", "": "",
	} {
		if got := newel.PlaceOf(recorded); got != want {
			t.Errorf("%q is read as %q, want %q", recorded, got, want)
		}
	}
}

func TestKeptSessionsPlaceIsACode(t *testing.T) {
	t.Parallel()
	const stored = `[{"id":"a","place":"out and about","unfit":["place"]},{"id":"b","place":"out"},{"id":"c"}]`
	var list newel.KeptSessions
	var single []newel.KeptSession
	if err := errors.Join(json.Unmarshal([]byte(stored), &list), json.Unmarshal([]byte(stored), &single)); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(list, newel.KeptSessions(single)) {
		t.Errorf("together %+v, one by one %+v", list, single)
	}
	if list[0].Place != newel.PlaceOut || list[1].Place != newel.PlaceOut || list[2].Place != "" {
		t.Errorf("read %+v", list)
	}
	if list[0].ID != "a" || len(list[0].Unfit) != 1 || list[0].Unfit[0] != newel.FitsPlace {
		t.Errorf("the rest was read as %+v", list[0])
	}
	if json.Unmarshal([]byte(`{"id":1}`), new(newel.KeptSession)) == nil || json.Unmarshal([]byte(`[{"id":1}]`), &list) == nil {
		t.Error("a damaged session was decoded")
	}
}
