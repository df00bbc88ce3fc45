package httpd

import (
	"net/http"
	"strings"
	"testing"

	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
)

// stopped returns a placement whose latest session the child's no ended.
func (s *site) stopped() newel.PlacementID {
	s.t.Helper()
	id := s.taught(fixture.WashingHands(), "aaaan")
	d := fixture.Session{House: s.Home.Household(id), Start: s.clock.Now(), Marks: "ad", Distress: true}.Document()
	s.as(s.Home.Caregiver).putDocument(d).want(http.StatusCreated)
	return id
}

// A program that is paused after a no says so until someone writes what was
// agreed. The line is then on the pages of both sides.
func TestLiftingThePauseAfterANo(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.stopped()
	page, family := "/placements/"+id.String(), s.as(s.Home.Caregiver)
	supervisor := s.as(s.Supervisor)
	var assignment newel.AssignmentID
	if err := s.DB.Bypass.QueryRow(t.Context(), `select id from assignment where family_id = $1`, s.Home.ID).Scan(&assignment); err != nil {
		t.Fatal(err)
	}
	talk := newel.NewID[newel.TalkID]()
	family.put("/phone/talks/"+talk.String(), "application/json", strings.NewReader(`{"assignment": "`+assignment.String()+`", "at": "`+string(shown(s.clock.Now()))+`", "line": "He was <tired>."}`)).want(http.StatusOK)

	supervisor.get("/caseload").want(http.StatusOK).check(
		htmlcheck.In(".row .said q", htmlcheck.HasExactText("He was <tired>.")), htmlcheck.In(".row .said", htmlcheck.HasText(s.Home.Caregiver.Name)),
		htmlcheck.In(".row a[href='"+page+"#lift']"),
	)
	form := supervisor.get(page).want(http.StatusOK).check(
		htmlcheck.In("section[aria-labelledby=lift] .said q", htmlcheck.HasExactText("He was <tired>.")),
		htmlcheck.In("a[href='#lift-form']"), htmlcheck.NotIn("#decide-form input[value=pause]"), htmlcheck.NotIn("#decide-form input[value=lift]"),
		htmlcheck.In(".d-band"), htmlcheck.Count(".graph a .d-clay", 1),
	).form("#lift-form")
	s.as(s.Trainee).get(page).want(http.StatusOK).check(htmlcheck.In("section[aria-labelledby=lift] .said"), htmlcheck.NotIn("#lift-form"))
	today := form.Get("agreed_on")
	back := supervisor.post(page+"/decide", with(form, "agreed", " ", "agreed_on", "soon")).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In("#f-agreed-error", htmlcheck.HasText("This is missing")), htmlcheck.In("#f-agreed_on-error"), htmlcheck.In("#f-agreed_on", htmlcheck.HasAttr("value", "soon")),
	)
	supervisor.post(page+"/decide", with(form, "kind", "resume")).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In("#f-kind-error", htmlcheck.HasText("write what was agreed")),
	)
	supervisor.post(page+"/decide", with(back.form("#lift-form"), "agreed", "Two rounds, <he> chooses.", "agreed_on", today)).leads(page)

	line := htmlcheck.HasText("Two rounds, <he> chooses.")
	supervisor.get(page).check(
		htmlcheck.In(".story li", line, htmlcheck.HasText(s.Supervisor.Name), htmlcheck.HasText("Agreed on")), htmlcheck.NotIn("#lift-form"),
		htmlcheck.In("section[aria-labelledby=talks] q", htmlcheck.HasExactText("He was <tired>.")),
	)
	supervisor.get("/learners/" + s.Home.Learner.String()).check(htmlcheck.In(".learnerprograms", line, htmlcheck.HasText("Pause lifted on"), htmlcheck.HasText(s.Supervisor.Name)))
	family.get("/progress/"+id.String()).want(http.StatusOK).check(
		htmlcheck.In(".familyprogress", line, htmlcheck.HasText("Can start again:"), htmlcheck.HasText("Agreed on")), htmlcheck.In(".said q", htmlcheck.HasExactText("He was <tired>.")), htmlcheck.In(".d-band"),
		htmlcheck.In(".list li", htmlcheck.HasText("said no")),
	)
	if day := family.day("", ""); day.Learners[0].Next == nil || day.Learners[0].Next.Lifted == nil || day.Learners[0].Next.Lifted.By != s.Supervisor.Name {
		t.Errorf("the phone: %+v", day.Learners[0])
	}
	supervisor.get("/caseload").check(htmlcheck.NotIn(".row a[href='" + page + "#lift']"))
}

// A second no that arrives while the form is open is not lifted with the first.
func TestLiftingIsAboutTheNoOnThePage(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.stopped()
	page, supervisor := "/placements/"+id.String(), s.as(s.Supervisor)
	form := supervisor.get(page).want(http.StatusOK).form("#lift-form")
	again := fixture.Session{House: s.Home.Household(id), Start: s.clock.Now(), Marks: "dd", Distress: true}.Document()
	s.as(s.Home.Caregiver).putDocument(again).want(http.StatusCreated)
	back := supervisor.post(page+"/decide", with(form, "agreed", "Two rounds.")).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In("#f-agreed-error", htmlcheck.HasText("said no again")), htmlcheck.In("#f-agreed", htmlcheck.HasAttr("value", "Two rounds.")),
	)
	supervisor.post(page+"/decide", back.form("#lift-form")).leads(page)
}

// The table beside the graph says which sessions are in the band.
func TestTheTableSaysWhatTheBandShows(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.stopped()
	s.as(s.Supervisor).get("/placements/"+id.String()).want(http.StatusOK).check(
		htmlcheck.In("#sessions tbody tr:nth-child(2)", htmlcheck.HasText("on the graph under zero")),
		htmlcheck.In(".graph > title", htmlcheck.HasText("said no")),
		htmlcheck.In(".graph a[aria-label*='on the graph under zero']"),
	)
}
