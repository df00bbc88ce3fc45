package httpd

import (
	"net/http"
	"strings"
	"testing"

	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
	"newel/internal/program"
)

// tens returns the marks of sessions of ten trials with so many independent.
func tens(correct ...int) []string {
	marks := make([]string, len(correct))
	for i, n := range correct {
		marks[i] = strings.Repeat("a", n) + strings.Repeat("n", 10-n)
	}
	return marks
}

// washing is a program whose first step has the criterion, without a step-back
// rule.
func washing(criterion string) program.Document {
	d := fixture.WashingHands()
	d.Strands[0].Steps[0].Criterion, d.Strands[0].Steps[0].StepBack, d.Strands[0].Steps[0].Trials = criterion, "", 10
	return d
}

// TestStallOpensToItsSessions follows the sentences about a lack of progress
// from the caseload to the step's page and the family's, each open to the
// sessions that it compares.
func TestStallOpensToItsSessions(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(washing("80% in 3 sessions in a row"), tens(4, 4, 4, 4, 4, 4, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5)...)
	means := htmlcheck.HasText("The mean of the newest 6 of the last 18 sessions was 50%; the mean of the oldest 6 was 40%.")
	session := htmlcheck.HasText("about 1 session in 14 reaches the goal.")
	supervisor := s.as(s.Supervisor)

	row := "#row-" + id.String() + "-finding-"
	caseload := supervisor.get("/caseload").want(http.StatusOK).check(
		htmlcheck.In(".row .why > p", htmlcheck.HasText("No progress: in the last 18 sessions")),
		htmlcheck.In(row+"thirds > summary", means), htmlcheck.In(row+"session > summary", session),
		htmlcheck.In(row+"thirds a[href='/placements/"+id.String()+"#finding-thirds']"), htmlcheck.Count(row+"session li", 5), htmlcheck.Count(".finding[open]", 0),
	)
	page := supervisor.get("/placements/"+id.String()).want(http.StatusOK).check(
		htmlcheck.In("#finding-thirds > summary", means), htmlcheck.In("#finding-session > summary", session),
		htmlcheck.Count("#finding-thirds li a", 18), htmlcheck.Count("#finding-session li a", 5),
		htmlcheck.In("#finding-thirds", htmlcheck.HasText("18 at most"), htmlcheck.HasText("Oldest 6"), htmlcheck.HasText("Between them"), htmlcheck.HasText("50% (5 of 10)")),
	)
	supervisor.get(page.attr("#finding-thirds li a", "href")).want(http.StatusOK)
	family := s.as(s.Home.Caregiver).get("/progress/"+id.String()).want(http.StatusOK).check(
		htmlcheck.In("#finding-thirds > summary", htmlcheck.HasText("The average of the newest 6 of the last 18 sessions is 50%.")),
		htmlcheck.In("#finding-thirds", htmlcheck.HasText("we look at the teaching together"), htmlcheck.HasText("never do so before 12 sessions")),
		htmlcheck.Count("#finding-thirds li", 18), htmlcheck.NotIn(".finding a"), htmlcheck.NotIn("#finding-session"),
	)
	for name, body := range map[string]string{"caseload": caseload.body, "page": page.body, "family": family.body} {
		for _, gone := range []string{"times in 100", "If nothing changes", "as likely as not"} {
			if strings.Contains(body, gone) {
				t.Errorf("%s still says %q", name, gone)
			}
		}
	}
}

// TestCloseIsShownOnce: a single error is all that keeps the child from the
// goal. The caseload says so until someone has seen it, and never again for the
// placement; the step's page always does.
func TestCloseIsShownOnce(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(washing("100% in 3 sessions in a row"), tens(9, 10, 9, 10, 9, 9, 10, 9, 10, 9, 9, 10, 9, 9)...)
	supervisor := s.as(s.Supervisor)
	path := "/placements/" + id.String()
	page := supervisor.get("/caseload").want(http.StatusOK).check(
		htmlcheck.In("#group-look", htmlcheck.HasText("1 item")), htmlcheck.In(".row .flag", htmlcheck.HasExactText("close to the criterion")),
		htmlcheck.In(".row .why > p", htmlcheck.HasText("Close to the criterion")), htmlcheck.Count(".row .acts .solid", 0),
		htmlcheck.Count("#row-"+id.String()+"-finding-close li", 8),
	)
	s.as(s.Home.Caregiver).get("/progress/"+id.String()).want(http.StatusOK).check(
		htmlcheck.In("main", htmlcheck.HasText("This step is in progress.")), htmlcheck.In("#finding-close > summary", htmlcheck.HasText("The goal is close.")),
	)
	supervisor.post(path+"/decide", with(page.form(".row form"), "kind", "seen")).leads("/caseload")
	quiet := func(when string) {
		t.Helper()
		supervisor.get("/caseload").want(http.StatusOK).check(htmlcheck.NotIn(".row"), htmlcheck.Count("table.quiet tbody tr", 1))
		supervisor.get(path).want(http.StatusOK).check(htmlcheck.In(".now .flag", htmlcheck.HasExactText("close to the criterion")), htmlcheck.Count("#finding-close li a", 8))
		if t.Failed() {
			t.Fatal(when)
		}
	}
	quiet("after it was seen")
	s.teachOn(id, newel.PersonID{}, tens(10, 9, 9, 10, 9)...)
	quiet("five sessions later")
	// A decision at a time without the flag does not bring it back.
	s.teachOn(id, newel.PersonID{}, tens(6)...)
	supervisor.get("/caseload").check(htmlcheck.In(".row .flag", htmlcheck.HasText("met, not sustained")), htmlcheck.NotIn("#row-"+id.String()+"-finding-close"))
	supervisor.post(path+"/decide", with(supervisor.get(path).form("#decide-form"), "kind", "seen"))
	s.teachOn(id, newel.PersonID{}, tens(9, 10, 9, 9, 10, 9, 10, 9)...)
	quiet("after another decision")
}

// TestThinEvidenceIsSaidWhereTheCriterionIsMet checks what is said about few
// trials, and that nothing is said where they are enough.
func TestThinEvidenceIsSaidWhereTheCriterionIsMet(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	thin := s.taught(washing("80% in 3 sessions in a row"), "annnn", "aaaan", "aaaan", "aaaan")
	few := htmlcheck.HasText("12 of 15 correct. Few trials: this could still be luck. A check in a week will tell.")
	supervisor := s.as(s.Supervisor)
	supervisor.get("/caseload").check(htmlcheck.In("#row-"+thin.String()+"-finding-evidence > summary", few), htmlcheck.Count("#row-"+thin.String()+"-finding-evidence li a", 3))
	supervisor.get("/placements/" + thin.String()).check(htmlcheck.In("#finding-evidence > summary", few))
	s.as(s.Home.Caregiver).get("/progress/" + thin.String()).check(
		htmlcheck.In("#finding-evidence > summary", htmlcheck.HasText("12 of 15 tries were right. That is not many tries, so it could still be luck.")))

	sure := newSite(t)
	good := sure.taught(washing("80% in 3 sessions in a row"), tens(10, 10, 10)...)
	sure.as(sure.Supervisor).get("/placements/"+good.String()).check(htmlcheck.In(".say", htmlcheck.HasText("Criterion met")), htmlcheck.NotIn(".finding"))
	sure.as(sure.Home.Caregiver).get("/progress/" + good.String()).check(htmlcheck.NotIn(".finding"))
}

// TestTotalsAreOfTheFlagsSessions checks that a difference between people is
// shown with the totals of the sessions that it was found in, under their
// dates, and never with those of the whole placement.
func TestTotalsAreOfTheFlagsSessions(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(washing("80% in 3 sessions in a row"), tens(1, 1, 1)...) // older than the ten
	for range 6 {
		s.teachOn(id, newel.PersonID{}, tens(9)...)
		s.teachOn(id, s.Home.Other, tens(4)...)
	}
	supervisor := s.as(s.Supervisor)
	row := "#row-" + id.String() + "-finding-by-person"
	page := supervisor.get("/caseload").want(http.StatusOK).check(
		htmlcheck.In(".row .flag", htmlcheck.HasText("differs by person")),
		htmlcheck.In(row+" > summary", htmlcheck.HasText("The 10 sessions from"), htmlcheck.HasText("45 of 50"), htmlcheck.HasText("20 of 50")), htmlcheck.Count(row+" li a", 10),
		htmlcheck.In(".causes", htmlcheck.HasText("45 of 50")),
	)
	split := supervisor.get("/placements/"+id.String()).want(http.StatusOK).check(
		htmlcheck.In("#by-person", htmlcheck.HasText("The 10 sessions from")), htmlcheck.In("section[aria-labelledby=by-person] .flag", htmlcheck.HasText("20 points")),
		htmlcheck.In("section[aria-labelledby=by-person] .panels", htmlcheck.HasText("45 of 50"), htmlcheck.HasText("20 of 50")),
		htmlcheck.Count("section[aria-labelledby=by-person] .finding li a", 10),
	)
	line, panels := split.text("#finding-by-person > summary"), split.text("section[aria-labelledby=by-person] .panels")
	if strings.Index(line, "45 of 50") < strings.Index(line, "20 of 50") != (strings.Index(panels, "45 of 50") < strings.Index(panels, "20 of 50")) {
		t.Errorf("the sentence and the graphs have people in different orders: %s; %s", line, panels)
	}
	for _, body := range []string{page.body, split.body} {
		if strings.Contains(body, "48 of 80") {
			t.Error("totals of the whole placement are shown")
		}
	}
}

// TestTotalsOfOneTarget checks that where targets are mastered individually, a
// difference between people is shown with the totals of the target that has it.
func TestTotalsOfOneTarget(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	d := washing("80% in 3 sessions in a row")
	step := &d.Strands[0].Steps[0]
	step.Targets, step.AtOnce = []program.Target{{Key: "cup", Name: "left hand"}, {Key: "soap", Name: "right hand"}}, 1
	id := s.taught(d)
	for range 6 {
		s.teachOn(id, newel.PersonID{}, tens(9)...)
		s.teachOn(id, s.Home.Other, tens(4)...)
	}
	supervisor := s.as(s.Supervisor)
	line := []htmlcheck.Checker{htmlcheck.HasText("left hand: The 10 sessions from"), htmlcheck.HasText("45 of 50"), htmlcheck.HasText("20 of 50")}
	supervisor.get("/placements/"+id.String()).want(http.StatusOK).check(
		htmlcheck.In("section[aria-labelledby=by-person] #finding-1-by-person > summary", line...), htmlcheck.Count("#finding-1-by-person li a", 10),
	)
	row := "#row-" + id.String() + "-finding-1-by-person"
	page := supervisor.get("/caseload").want(http.StatusOK).check(htmlcheck.In(row+" > summary", line...), htmlcheck.In(".causes", line...))
	if strings.Contains(page.body, "54 of 60") {
		t.Error("totals of the whole placement are shown")
	}
	supervisor.get("/placements/" + id.String() + "/replay").want(http.StatusOK).check(
		htmlcheck.In(".replays .raised", htmlcheck.HasText("differs by person, first at session")))
}
