package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
	"newel/internal/program"
)

// taught assigns a program to the learner of Home and records a session for
// each mark text, a day apart, the last one an hour ago.
func (s *site) taught(d program.Document, marks ...string) newel.PlacementID {
	s.t.Helper()
	v := s.Publish(s.t, d)
	now := s.clock.Now()
	s.clock.Set(now.AddDate(0, 0, -len(marks)))
	_, err := s.app.Assign(s.t.Context(), s.Supervisor, app.NewForm(), s.Home.Learner, app.AssignInput{Program: v.ProgramID.String(), WithoutTouch: true})
	if err != nil {
		s.t.Fatal(err)
	}
	s.clock.Set(now)
	var id newel.PlacementID
	if err := s.DB.Bypass.QueryRow(s.t.Context(), `select id from placement where family_id = $1 and ended_at is null and version_id = $2`, s.Home.ID, v.ID).Scan(&id); err != nil {
		s.t.Fatal(err)
	}
	for i, m := range marks {
		start := now.AddDate(0, 0, i+1-len(marks)).Add(-time.Hour)
		document := fixture.Session{House: s.Home.Household(id), Start: start, Marks: m}.Document()
		if _, err := s.app.StoreRecording(s.t.Context(), s.Home.Caregiver, app.Delivered{ID: document.ID, Body: document.Encode()}); err != nil {
			s.t.Fatal(err)
		}
	}
	return id
}

func TestCaseloadShowsWhatNeedsADecision(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	supervisor := s.as(s.Supervisor)
	supervisor.get("/caseload").want(http.StatusOK).check(htmlcheck.In(".empty"))
	met := s.taught(fixture.WashingHands(), "aaaan", "aaaaa", "aaaa1")
	s.taught(fixture.WhichCup(), "1nnd2")
	page := supervisor.get("/caseload").want(http.StatusOK).check(
		htmlcheck.In("h1", htmlcheck.HasExactText("1 item needs a decision. 1 needs nothing today.")),
		htmlcheck.Count(".grp", 1), htmlcheck.In("#group-met", htmlcheck.HasText("Criterion met"), htmlcheck.HasText("1 item")),
		htmlcheck.In(".row .why p", htmlcheck.HasText("4 of 5, 5 of 5, 4 of 5"), htmlcheck.HasText("Lubna")),
		htmlcheck.In(".row .rests a", htmlcheck.HasText("based on 3 sessions")), htmlcheck.In(".row .gr svg[width='188'][height='74']"),
		htmlcheck.Count(".acts .solid", 1), htmlcheck.In(".acts .solid", htmlcheck.HasText("Advance to B2")),
		htmlcheck.In("table.quiet tbody tr", htmlcheck.HasText("Which cup?"), htmlcheck.HasText("0 of 4"), htmlcheck.HasText("too early to tell")),
		htmlcheck.Count("table.quiet .mks svg", 5),
	)
	if strings.Contains(page.body, "3x") {
		t.Error("the page shows the trade's shorthand")
	}
	form := page.form(".row form")
	form.Set("kind", "advance")
	path := "/placements/" + met.String()
	supervisor.post(path+"/decide", form).leads("/caseload")
	supervisor.get("/caseload").check(htmlcheck.In("h1", htmlcheck.HasExactText("No decisions needed.")), htmlcheck.Count("table.quiet tbody tr", 2),
		htmlcheck.In("table.quiet", htmlcheck.HasText("B2, Dry both hands")))
	// A trainee sees the same but cannot decide; another family's supervisor
	// sees neither.
	s.as(s.Trainee).get("/caseload").want(http.StatusOK).check(htmlcheck.NotIn(".acts"), htmlcheck.Count("table.quiet tbody tr", 2))
	neighbour := s.Account(t, "Nadia Orr", newel.Supervisor)
	s.LookAfter(t, &neighbour, s.NextDoor.ID)
	s.as(neighbour).get("/caseload").check(htmlcheck.In(".empty"))
}

func TestPlacementPageAndDecisionForm(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	first := s.taught(fixture.WashingHands(), "aaaan", "n1nn2")
	supervisor := s.as(s.Supervisor)
	path := "/placements/" + first.String()
	page := supervisor.get(path+"?kind=hold").want(http.StatusOK).check(
		htmlcheck.In("h1", htmlcheck.HasText("Washing hands")), htmlcheck.In("svg.graph"), htmlcheck.In("svg.stair.full"),
		htmlcheck.Count("details.table tbody tr", 2), htmlcheck.In("details.table", htmlcheck.HasText("4 of 5"), htmlcheck.HasText("0 of 5")),
		htmlcheck.Count("details.table .mks svg", 10), htmlcheck.In(".flight .here", htmlcheck.HasText("on this step since")),
		htmlcheck.NotIn(".acts .solid"), htmlcheck.In("input[value=hold][checked]"), htmlcheck.NotIn("input[value=step_back]"),
	)
	// If the form is refused, it keeps everything as typed.
	form := with(page.form("#decide-form"), "kind", "hold", "reason", "  ", "expected", "<b>4 of 5</b> قل", "expected_by", "2026-03-20")
	back := supervisor.post(path+"/decide", form).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In("#f-reason-error"), htmlcheck.In("#f-expected", htmlcheck.HasText("<b>4 of 5</b> قل")), htmlcheck.In("#f-expected_by", htmlcheck.HasAttr("value", "2026-03-20")),
		htmlcheck.In("input[value=hold][checked]"),
	)
	supervisor.post(path+"/decide", with(back.form("#decide-form"), "reason", "Reached with Lubna, not with Sami.")).leads(path)
	supervisor.get(path).check(htmlcheck.In(".story li", htmlcheck.HasText("continue this step"), htmlcheck.HasText("Reached with Lubna"), htmlcheck.HasText("20 March 2026"), htmlcheck.HasText(s.Supervisor.Name)))
	s.as(s.Trainee).get(path).want(http.StatusOK).check(htmlcheck.NotIn("#decide-form"), htmlcheck.NotIn(".acts"))
	s.as(s.Trainee).post(path+"/decide", url.Values{"kind": {"seen"}}).want(http.StatusForbidden)
}

func TestSecondDecisionShowsTheFirst(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	first := s.taught(fixture.WashingHands(), "aaaan", "aaaaa", "aaaa1")
	path := "/placements/" + first.String()
	supervisor, lead := s.as(s.Supervisor), s.as(s.Lead)
	late := supervisor.get(path).form("#decide-form")
	lead.post(path+"/decide", with(lead.get(path).form("#decide-form"), "kind", "advance")).leads(path)
	supervisor.post(path+"/decide", with(late, "kind", "finish", "reason", "moves away in April")).want(http.StatusConflict).check(
		htmlcheck.In("[role=alert]", htmlcheck.HasText(s.Lead.Name), htmlcheck.HasText("advance"), htmlcheck.HasText("B2")),
		htmlcheck.In(".now", htmlcheck.HasText("moves away in April"), htmlcheck.HasText("This step ended")), htmlcheck.NotIn("#decide-form"),
	)
	if n := s.count(`select count(*) from decision`); n != 1 {
		t.Errorf("%d decisions", n)
	}
}

func TestFamilyProgressIsInPlainWords(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	first := s.taught(fixture.WashingHands(), "aaaan", "aaaaa", "aaaa1")
	path := "/progress/" + first.String()
	page := s.as(s.Home.Caregiver).get(path).want(http.StatusOK).check(
		htmlcheck.In("h1", htmlcheck.HasText("Rami")), htmlcheck.In(".say", htmlcheck.HasText("The goal for this step is met")),
		htmlcheck.Count(".familyprogress > .list:first-of-type li", 3), htmlcheck.In(".familyprogress", htmlcheck.HasText("4 of 5"), htmlcheck.HasText("Some weeks show no change")),
	)
	for _, word := range []string{"criterion", "stalled", "flag", "%"} {
		if text := page.text(".familyprogress .say"); strings.Contains(text, word) {
			t.Errorf("the sentence says %q: %s", word, text)
		}
	}
	s.as(s.NextDoor.Caregiver).get(path).want(http.StatusNotFound)
	s.as(s.Home.Caregiver).get("/placements/" + first.String()).want(http.StatusForbidden)
}

// TestCriterionThatCannotBeRecorded: a program published before publishing was
// refused asks for seconds that no phone records. The caseload says so.
func TestCriterionThatCannotBeRecorded(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	d := fixture.WashingHands()
	d.Strands[0].Steps[0].Criterion = "80% independent in 3 sessions in a row, and a response within 5 seconds"
	s.taught(d, "aa")
	s.as(s.Supervisor).get("/caseload").want(http.StatusOK).check(
		htmlcheck.In("main", htmlcheck.HasText("phones do not record them on this step"), htmlcheck.HasText("Rami")),
		htmlcheck.In("main", htmlcheck.HasText("Criterion cannot be recorded")))
}
