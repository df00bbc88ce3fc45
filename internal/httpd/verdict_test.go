package httpd

import (
	"net/http"
	"net/url"
	"testing"

	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/say"
	"newel/internal/view"
)

// A person judges the outcome of a decision: the page shows what the data say,
// and the caseload asks once the day has passed.
func TestRecordingTheOutcomeOfADecision(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(fixture.WashingHands(), "aaaan", "n1nn2")
	path := "/placements/" + id.String()
	supervisor := s.as(s.Supervisor)
	expect := func(kind, day string) {
		t.Helper()
		form := with(supervisor.get(path).form("#decide-form"), "kind", kind, "reason", "A rest first.", "expected", "4 of 5 with Lubna", "expected_by", day)
		supervisor.post(path+"/decide", form).leads(path)
	}
	day := s.clock.Now()
	expect("hold", day.AddDate(0, 0, 4).Format("2006-01-02"))
	form := supervisor.get(path).want(http.StatusOK).check(htmlcheck.Count(".verdict", 1), htmlcheck.NotIn(".verdict[open]")).form(".verdict form")
	action := supervisor.get(path).attr(".verdict form", "action")
	supervisor.get("/caseload").check(htmlcheck.NotIn("#group-again"))

	s.clock.Set(day.AddDate(0, 0, 4))
	supervisor.get("/caseload").want(http.StatusOK).check(
		htmlcheck.In("#group-again", htmlcheck.HasText("1 item")), htmlcheck.In(".row .why", htmlcheck.HasText("4 of 5 with Lubna")),
		htmlcheck.In(".acts a[href*='#decision-']", htmlcheck.HasText("Record the outcome")),
	)
	supervisor.get(path).check(htmlcheck.In(".verdict[open]"))
	// Without a choice the page keeps what was typed, with the message at the
	// choice.
	supervisor.post(action, with(form, "line", "<i>with both</i>")).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In(".verdict[open] .wrong .error", htmlcheck.HasText("Choose one of the three")),
		htmlcheck.In(".verdict input[name=line]", htmlcheck.HasAttr("value", "<i>with both</i>")),
	)
	supervisor.post(action, with(form, "came", "not_yet", "line", "With Sami it came.")).want(http.StatusSeeOther)
	supervisor.get(path).check(
		htmlcheck.NotIn(".verdict[open]"),
		htmlcheck.In(".story dl", htmlcheck.HasText("Not yet"), htmlcheck.HasText("With Sami it came."), htmlcheck.HasText(s.Supervisor.Name),
			htmlcheck.HasText("Then: too early to tell. Now: too early to tell.")),
	)
	supervisor.get("/caseload").check(htmlcheck.NotIn("#group-again"))
	// A different judgment later is added; resubmitting changes nothing.
	later := with(supervisor.get(path).form(".verdict form"), "came", "true")
	supervisor.post(action, later).want(http.StatusSeeOther)
	supervisor.post(action, later).want(http.StatusSeeOther)
	if n := s.count(`select count(*) from verdict`); n != 2 {
		t.Errorf("%d verdicts, want 2", n)
	}
	// A new decision replaces the day as well; "not yet" before the day does
	// not.
	expect("hold", s.clock.Now().AddDate(0, 0, 2).Format("2006-01-02"))
	second := supervisor.get(path)
	supervisor.post(second.attr(".verdict form", "action"), with(second.form(".verdict form"), "came", "not_yet")).want(http.StatusSeeOther)
	s.clock.Set(s.clock.Now().AddDate(0, 0, 2))
	row := supervisor.get("/caseload").check(htmlcheck.In("#group-again")).form(".row form")
	supervisor.post(path+"/decide", with(row, "kind", "seen")).leads("/caseload")
	supervisor.get("/caseload").check(htmlcheck.NotIn("#group-again"))

	s.as(s.Trainee).get(path).want(http.StatusOK).check(htmlcheck.NotIn(".verdict"), htmlcheck.In(".story", htmlcheck.HasText("With Sami it came.")))
	s.as(s.Trainee).post(action, url.Values{"came": {"true"}}).want(http.StatusForbidden)
	s.as(s.Home.Caregiver).get("/progress/"+id.String()).check(htmlcheck.NotIn(".verdict"), htmlcheck.NotIn("form"))
	// A decision without an expectation has no form.
	other := s.taught(fixture.WhichCup(), "1nnd2").String()
	supervisor.post("/placements/"+other+action[len(path):], with(later, view.FormTokenName, say.NewToken(), "came", "no")).want(http.StatusNotFound)
}
