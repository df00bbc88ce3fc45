package httpd

import (
	"net/http"
	"testing"
	"time"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
	"newel/internal/recording"
)

// TestPlacesAreShownByTheirLabels checks that a recorded code is shown by its
// label, together with labels that phones recorded before there were codes.
func TestPlacesAreShownByTheirLabels(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	placement := s.taught(fixture.WashingHands())
	supervisor, path := s.as(s.Supervisor), "/placements/"+placement.String()
	pages := map[string]string{}
	for i, place := range []string{"out and about", newel.PlaceOut, newel.PlaceHome, "home", "the allotment"} {
		d := fixture.Session{House: s.Home.Household(placement), Start: s.clock.Now().Add(time.Duration(i-8) * 20 * time.Minute), Marks: "aannn"}.Document()
		d.Header.Place = recording.Rev(1, place)
		if _, err := s.app.StoreRecording(t.Context(), s.Home.Caregiver, app.Delivered{ID: d.ID, Body: d.Encode()}); err != nil {
			t.Fatal(err)
		}
		pages["/recordings/"+d.ID.String()] = place
	}
	for page, place := range pages {
		label := map[string]string{newel.PlaceOut: "out and about"}[place]
		if label == "" {
			label = place
		}
		supervisor.get(page).want(http.StatusOK).check(htmlcheck.In("main", htmlcheck.HasText("Where: "+label)))
	}
	supervisor.get(path).want(http.StatusOK).check(
		htmlcheck.In("#sessions", htmlcheck.HasText("out and about"), htmlcheck.HasText("the allotment")),
		htmlcheck.Count("section[aria-labelledby=by-place] .panels li", 3),
		htmlcheck.In("section[aria-labelledby=by-place]", htmlcheck.HasText("home"), htmlcheck.HasText("out and about"), htmlcheck.HasText("4 of 10")),
	)
}
