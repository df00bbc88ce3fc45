package httpd

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"newel/internal/htmlcheck"
	"newel/internal/recording"
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
				htmlcheck.HasText("Sari and Tomas agree on 3 of 5 trials (60%). 1 trial was recorded only by Sari."), htmlcheck.HasText("paired by when they were recorded"),
				htmlcheck.Count("details tbody tr", 5), htmlcheck.Count("td.clay", 2), htmlcheck.HasText("not recorded"), htmlcheck.HasText("16:30:12")))
		}
		supervisor.get(progress).check(htmlcheck.In("section[aria-labelledby=agreement]",
			htmlcheck.HasText("Second observer: 1 of 1 session on this step (100%)"), htmlcheck.HasText("agree on 3 of 5 trials (60%)"), htmlcheck.Count("li details tbody tr", 5)))
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

// TestMemoryIsNotCompared checks that pages say that a record from memory is
// not an observation, instead of a percentage, and that it does not count as a
// second observer.
func TestMemoryIsNotCompared(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	first, other := b.session("aann1").Document(), b.session("aana")
	other.House.Caregiver, other.How = b.Bench.Supervisor, recording.Afterwards
	b.as(b.Bench.Home.Caregiver).putDocument(first).want(http.StatusCreated)
	supervisor := b.as(b.Bench.Supervisor)
	supervisor.putDocument(other.Document()).want(http.StatusCreated)
	const said = "Tomas recorded this session afterwards, from memory. That is not an observation, so there is no agreement to show."
	supervisor.get("/recordings/" + first.ID.String()).check(htmlcheck.In("section[aria-labelledby=twin]",
		htmlcheck.HasText(said), htmlcheck.Count("table", 0), withoutPercentage))
	supervisor.get("/placements/" + b.Bench.Home.Placement.String()).check(htmlcheck.In("section[aria-labelledby=agreement]",
		htmlcheck.HasText(said), htmlcheck.HasText("Second observer: 0 of 1 session on this step (0%)"), htmlcheck.Count("table", 0)))
}

func withoutPercentage(n *html.Node) error {
	if text := htmlcheck.Text(n); strings.Contains(text, "%") {
		return fmt.Errorf("a percentage: %s", text)
	}
	return nil
}
