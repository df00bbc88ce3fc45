package httpd

import (
	"net/http"
	"net/url"
	"testing"

	"newel/internal/fixture"
	"newel/internal/htmlcheck"
)

// A fidelity check is shown on the placement's page and under Check first until
// it is withdrawn. Families and trainees cannot record one, and families do not
// see it.
func TestFidelityChecks(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	program := fixture.WashingHands()
	program.Checklist = []string{"Cue once", "Waited as planned", "<i>Wrote it down</i>"}
	id := s.taught(program, "n1nn2", "nn1nn", "n1nn2", "nn1n2", "nn1n1")
	path := "/placements/" + id.String()
	supervisor := s.as(s.Supervisor)
	supervisor.get(path).want(http.StatusOK).check(htmlcheck.In("section[aria-labelledby=fidelity]", htmlcheck.HasText("No observations yet")))

	page := supervisor.get(path + "/fidelity").want(http.StatusOK).check(htmlcheck.Count(".points fieldset", 4))
	form, action := page.form("main form"), path+"/fidelity"
	// Each missing field gets a message, and nothing typed is lost.
	supervisor.post(action, with(form, "note", "Warm throughout.", "seen1", "not_done")).want(http.StatusUnprocessableEntity).check(
		htmlcheck.Count(".points .wrong", 3), htmlcheck.In("textarea[name=note]", htmlcheck.HasText("Warm throughout.")),
		htmlcheck.In("input[name=seen1][value=not_done][checked]"), htmlcheck.In(".problems", htmlcheck.HasText("Choose who taught")))
	form = with(form, "person", s.Home.Person.String(), "watched", "call", "seen0", "not_seen", "seen1", "not_seen", "seen2", "not_seen")
	supervisor.post(action, form).want(http.StatusUnprocessableEntity).check(htmlcheck.In(".points .error", htmlcheck.HasText("nothing to record")))
	supervisor.post(action, with(form, "person", s.NextDoor.Person.String(), "seen0", "done")).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In(".problems", htmlcheck.HasText("Choose who taught")))
	form = with(form, "person", s.Home.Person.String(), "seen0", "done", "seen1", "not_done", "note", "Warm throughout.")
	supervisor.post(action, form).leads(path + "#fidelity")
	supervisor.post(action, form).leads(path + "#fidelity") // resubmitting changes nothing

	supervisor.get(path).check(htmlcheck.Count(".looked li", 1), htmlcheck.In(".looked li",
		htmlcheck.HasText("1 of 2 as planned"), htmlcheck.HasText("Not as planned: Waited as planned."), htmlcheck.HasText("Not observed: <i>Wrote it down</i>."),
		htmlcheck.HasText("Warm throughout."), htmlcheck.HasText(s.Supervisor.Name)))
	supervisor.get("/caseload").check(htmlcheck.In(".causes", htmlcheck.HasText("1 of 2 as planned"), htmlcheck.HasText("Not as planned: Waited as planned.")))
	s.as(s.Home.Caregiver).get("/progress/" + id.String()).check(htmlcheck.NotIn("#fidelity"))
	s.as(s.Trainee).get(path).check(htmlcheck.In(".looked li"), htmlcheck.NotIn(".looked form"), htmlcheck.NotIn("section[aria-labelledby=fidelity] a"))
	s.as(s.Trainee).post(action, form).want(http.StatusForbidden)

	take := supervisor.get(path).attr(".looked form", "action")
	s.as(s.Trainee).post(take, url.Values{}).want(http.StatusForbidden)
	supervisor.post(take, url.Values{}).leads(path + "#fidelity")
	supervisor.get(path).check(htmlcheck.In(".looked li.soft", htmlcheck.HasText("Withdrawn by")), htmlcheck.NotIn(".looked form"))
	supervisor.get("/caseload").check(htmlcheck.In(".causes dd:first-of-type", htmlcheck.HasExactText("–Observe")))
	supervisor.post(take, url.Values{}).want(http.StatusNotFound)
}

// A program without a checklist cannot be observed.
func TestFidelityNeedsAChecklist(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	program := fixture.WashingHands()
	program.Checklist = nil
	id := s.taught(program, "aaaan")
	path := "/placements/" + id.String()
	supervisor := s.as(s.Supervisor)
	supervisor.get(path).check(htmlcheck.In("section[aria-labelledby=fidelity]", htmlcheck.HasText("no checklist for this")), htmlcheck.NotIn("section[aria-labelledby=fidelity] a"))
	supervisor.get(path + "/fidelity").want(http.StatusOK).check(htmlcheck.NotIn("main form"))
	supervisor.post(path+"/fidelity", url.Values{"person": {s.Home.Person.String()}, "taught_on": {"2026-03-01"}, "watched": {"call"}}).want(http.StatusNotFound)
}
