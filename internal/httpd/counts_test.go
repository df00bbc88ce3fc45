package httpd

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/recording"
)

// TestPagesShowWhatCounts checks that decision pages show the status of targets
// with their own criteria, sessions that differed from the step, and what the
// program's rule says about the prompt.
func TestPagesShowWhatCounts(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	d := fixture.WashingHands()
	d.Procedure.MoreHelp = "below 50% in 2 sessions in a row"
	step := &d.Strands[0].Steps[0]
	step.Targets = []program.Target{{Key: "cup", Name: "left hand"}, {Key: "soap", Name: "right hand"}}
	step.AtOnce, step.Criterion = 1, "80% independent in 2 sessions in a row"
	placement := s.taught(d, "aaaaa", "aaaaa")
	supervisor, path := s.as(s.Supervisor), "/placements/"+placement.String()
	supervisor.get(path).want(http.StatusOK).check(
		htmlcheck.In(".head .say", htmlcheck.HasText("1 of 2 targets met; now: right hand.")),
		htmlcheck.In("section[aria-labelledby=targets]", htmlcheck.HasText("left hand: met on"), htmlcheck.HasText("right hand: being taught, 0 of 2 sessions")),
	)
	supervisor.get("/caseload").want(http.StatusOK).check(htmlcheck.In("table.quiet tbody", htmlcheck.HasText("now: right hand")))

	elsewhere := fixture.Session{House: s.Home.Household(placement), Start: s.clock.Now().Add(-50 * time.Minute), Marks: "nnnnn"}.Document()
	elsewhere.Header.Unfit = recording.Rev(1, []newel.Condition{newel.FitsPlace, newel.FitsMaterials})
	for _, document := range []recording.Document{elsewhere, soap(s, placement, -40), soap(s, placement, -30)} {
		if _, err := s.app.StoreRecording(t.Context(), s.Home.Caregiver, app.Delivered{ID: document.ID, Body: document.Encode()}); err != nil {
			t.Fatal(err)
		}
	}
	supervisor.get(path).want(http.StatusOK).check(
		htmlcheck.In("#sessions", htmlcheck.HasText("differed from the step: different place, different materials")),
		htmlcheck.In(".head .say", htmlcheck.HasText("The program’s rule calls for more prompting: independent → point.")),
	)
	s.as(s.Home.Caregiver).get("/progress/" + placement.String()).want(http.StatusOK).check(htmlcheck.In(".familyprogress", htmlcheck.HasText("differed from the step: different place, different materials")))
	page := "/recordings/" + elsewhere.ID.String()
	supervisor.get(page).want(http.StatusOK).check(htmlcheck.In(".flag", htmlcheck.HasText("Does not count: differed from the step: different place")))
	supervisor.post(page+"/amendments", url.Values{"what": {"correct"}, "n": {"count_it"}, "reason": {"It was the same room."}}).leads(page)
	supervisor.get(page).want(http.StatusOK).check(htmlcheck.NotIn(`option[value="count_it"]`))

	supervisor.get("/caseload").want(http.StatusOK).check(htmlcheck.In(".acts", htmlcheck.HasText("Increase prompt to point")))
	supervisor.post(path+"/decide", url.Values{"kind": {"more_help"}}).leads(path)
	supervisor.get(path).want(http.StatusOK).check(htmlcheck.In(".story h3", htmlcheck.HasText("increase prompt: point")))
}

// soap is a session of the second target without any correct trial.
func soap(s *site, placement newel.PlacementID, minutes time.Duration) recording.Document {
	d := fixture.Session{House: s.Home.Household(placement), Start: s.clock.Now().Add(minutes * time.Minute), Marks: "nnnnn"}.Document()
	for i := range d.Trials {
		d.Trials[i].Answer.Target = "soap"
	}
	return d
}
