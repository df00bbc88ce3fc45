package httpd

import (
	"net/http"
	"testing"

	"newel/internal/htmlcheck"
)

// Two people's records of one session are compared trial by trial as they sent
// them, even if one record was corrected later, or excluded so that the session
// counts once. (Trial by trial: trials scored identically of all trials;
// Cooper, Heron and Heward, from memory. 3 of 5 are 60%.)
func TestTwoObservers(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	first := b.session("aann1").Document()
	other := b.session("aana")
	other.House.Caregiver = b.Bench.Supervisor
	second := other.Document()
	b.as(b.Bench.Home.Caregiver).putDocument(first).want(http.StatusCreated)
	supervisor := b.as(b.Bench.Supervisor)
	supervisor.putDocument(second).want(http.StatusCreated)
	progress := "/placements/" + b.Bench.Home.Placement.String()
	compared := func() {
		t.Helper()
		for _, page := range []string{"/recordings/" + first.ID.String(), "/recordings/" + second.ID.String()} {
			supervisor.get(page).want(http.StatusOK).check(htmlcheck.In("section[aria-labelledby=twin]",
				htmlcheck.HasText("agree on 3 of 5 trials (60%)"), htmlcheck.Count("tbody tr", 5), htmlcheck.Count("td.clay", 2), htmlcheck.HasText("not recorded")))
		}
		supervisor.get(progress).check(htmlcheck.In("section[aria-labelledby=agreement] li", htmlcheck.HasText("agree on 3 of 5 trials (60%)")))
	}
	compared()
	amend := func(pairs ...string) {
		t.Helper()
		path := "/recordings/" + second.ID.String()
		form := with(supervisor.get(path).form("main form.form"), append(pairs, "reason", "Heard on the phone.", "what", "correct")...)
		supervisor.post(path+"/amendments", form).leads(path)
	}
	amend("n", "4", "answer", "incorrect")
	compared()
	amend("n", "session")
	compared()
	supervisor.get("/recordings/" + first.ID.String()).check(htmlcheck.NotIn("section[aria-labelledby=recorded] .flag"))
	b.as(b.Bench.Home.Caregiver).get("/progress/" + b.Bench.Home.Placement.String()).want(http.StatusOK).check(htmlcheck.NotIn("section[aria-labelledby=agreement]"))
}
