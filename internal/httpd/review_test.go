package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
)

// begun opens a review of the learner at home and returns its address.
func (b *browser) begun() string {
	b.t.Helper()
	page := "/learners/" + b.site.Home.Learner.String()
	b.get(page).want(http.StatusOK).check(htmlcheck.In("section[aria-labelledby=reviews]"))
	return b.post(page+"/reviews", url.Values{}).want(http.StatusSeeOther).location
}

// All participants see the page that the leader has opened, even across two
// processes, until they choose to browse on their own.
func TestReviewTogether(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(fixture.WashingHands(), "aaaan", "n1nna")
	one, two := s.process(t), s.process(t)
	supervisor, mother := s.as(s.Supervisor), s.as(s.Home.Caregiver)
	if day := mother.day("", ""); day.Review != "" || day.Agreed != 0 {
		t.Errorf("the day before: %+v", day)
	}
	path := supervisor.begun()
	if again := supervisor.begun(); again != path {
		t.Errorf("started again: %s, want %s", again, path)
	}
	if day := mother.day("", ""); "/reviews/"+day.Review != path {
		t.Errorf("the day names the review %q, want %s", day.Review, path)
	}

	_, led := one.watch(t, supervisor, path+"/live")
	_, seen := two.watch(t, mother, path+"/live?seen=something+else")
	wants(t, seen, "changed") // the page is outdated
	for !strings.Contains(supervisor.get(path).text(".lede"), "Lubna") {
		wants(t, led, "changed")
	}
	page := mother.get(path).want(http.StatusOK).check(
		htmlcheck.In(".lede", htmlcheck.HasText(s.Supervisor.Name), htmlcheck.HasText("Lubna")), htmlcheck.In("main[data-live]"),
		htmlcheck.In(".showing", htmlcheck.HasText("What was agreed")), htmlcheck.NotIn(".leaves"), htmlcheck.NotIn("main form"))
	if strings.Contains(page.body, "/placements/") {
		t.Error("a family sees a link to staff pages")
	}

	supervisor.post(path+"/page", url.Values{"page": {id.String()}}).leads(path)
	for text := ""; !strings.Contains(text, "Washing hands"); text = mother.get(path).text(".showing") {
		wants(t, seen, "changed") // one event may stand for several changes, including earlier ones
	}
	mother.get(path).check(htmlcheck.In(".showing", htmlcheck.HasText(s.Supervisor.Name+" is showing: Washing hands")), htmlcheck.In(".familyprogress svg"))
	mother.get(path+"?alone=agreed").check(htmlcheck.In(".showing", htmlcheck.HasText("You are browsing on your own")), htmlcheck.NotIn(".familyprogress"), htmlcheck.Count(".leaves a", 2))
	supervisor.get(path).check(htmlcheck.In(".showing", htmlcheck.HasText("You are showing everyone: Washing hands")), htmlcheck.Count(".leaves button", 2),
		htmlcheck.In(".leaves button[aria-current]", htmlcheck.HasText("Washing hands")), htmlcheck.In(`a[href="/placements/`+id.String()+`"]`))
	supervisor.post(path+"/page", url.Values{"page": {s.NextDoor.Learner.String()}}).want(http.StatusNotFound)

	// A participant who leaves is missed although no event says so.
	two.end()
	s.clock.Set(s.clock.Now().Add(2 * newel.GuestTimeout))
	for strings.Contains(supervisor.get(path).text(".lede"), "Lubna") {
		wants(t, led, "changed")
	}

	supervisor.post(path+"/end", url.Values{}).leads(path)
	mother.get(path).want(http.StatusOK).check(htmlcheck.In(".say", htmlcheck.HasText("Lubna")), htmlcheck.NotIn(".showing"))
	supervisor.post(path+"/page", url.Values{"page": {"agreed"}}).want(http.StatusConflict)
	if mother.day("", "").Review != "" {
		t.Error("the day names a review that is over")
	}
	if next := supervisor.begun(); next == path {
		t.Error("an ended review continues")
	}
}

// An agreed action becomes a task: the family's on its phones, the clinic's on
// its caseload.
func TestAgreedActions(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.taught(fixture.WashingHands(), "aaaan")
	supervisor, mother, trainee := s.as(s.Supervisor), s.as(s.Home.Caregiver), s.as(s.Trainee)
	path := supervisor.begun()

	form := supervisor.get(path).want(http.StatusOK).form(".noting form")
	typed := with(form, "text", "Film one try", "due_on", "2020-01-01")
	supervisor.post(path+"/actions", typed).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In(".problems", htmlcheck.HasText("Choose who will do it"), htmlcheck.HasText("That day has passed")),
		htmlcheck.In("textarea[name=text]", htmlcheck.HasText("Film one try")))
	typed = with(typed, "whose", "family", "due_on", newel.DayOf(s.clock.Now().AddDate(0, 0, 7), time.UTC).String())
	supervisor.post(path+"/actions", typed).leads(path + "#agreed")
	supervisor.post(path+"/actions", typed).leads(path + "#agreed") // resubmitting changes nothing
	supervisor.post(path+"/actions", with(form, "text", "<b>Cut the cards</b>", "whose", "clinic", "form_token", "0195a0c4-7b1e-7c3a-9d52-3f6f0a1b2c99"))
	supervisor.get(path).check(htmlcheck.Count(".actions li", 2))
	mother.get(path).check(htmlcheck.Count(".actions li", 2), htmlcheck.Count(".actions form", 1))
	trainee.get(path).want(http.StatusOK).check(htmlcheck.Count(".actions li", 2), htmlcheck.NotIn(".actions form"), htmlcheck.NotIn(".noting"))

	if got := mother.day("", "").Agreed; got != 1 {
		t.Errorf("the day counts %d things to do, want 1", got)
	}
	agreed := mother.get("/agreed").want(http.StatusOK).check(htmlcheck.Count(".actions li", 2), htmlcheck.Count(".actions form", 1))
	done := agreed.attr(".actions form", "action")
	clinics := supervisor.get("/caseload").check(htmlcheck.Count(".actions li", 1), htmlcheck.In(".actions", htmlcheck.HasText("<b>Cut the cards</b>"))).attr(".actions form", "action")
	own := strings.Replace(clinics, "/actions/", "/agreed/", 1)
	mother.post(own, url.Values{"outcome": {"done"}}).want(http.StatusNotFound) // the clinic's action
	mother.post(done, url.Values{"outcome": {"finished"}}).want(http.StatusNotFound)
	mother.post(done, url.Values{"outcome": {"done"}}).leads("/agreed")
	mother.get("/agreed").check(htmlcheck.Count(".actions li", 1), htmlcheck.NotIn(".actions form"))
	if got := mother.day("", "").Agreed; got != 0 {
		t.Errorf("the day counts %d things to do, want none", got)
	}
	supervisor.get(path).check(htmlcheck.In(".actions li.soft", htmlcheck.HasText("Done: Lubna")))
	supervisor.post(strings.Replace(done, "/agreed/", "/actions/", 1), url.Values{"outcome": {""}, "review": {strings.TrimPrefix(path, "/reviews/")}}).leads(path + "#agreed")
	supervisor.get(path).check(htmlcheck.NotIn(".actions li.soft"))

	supervisor.post(clinics, url.Values{"outcome": {"dropped"}, "back": {"caseload"}}).leads("/caseload")
	supervisor.get("/caseload").check(htmlcheck.NotIn(".actions"))
	learner := "/learners/" + s.Home.Learner.String()
	supervisor.get(learner).check(htmlcheck.In("section[aria-labelledby=reviews]", htmlcheck.HasText("Film one try"), htmlcheck.HasText("A review is in progress")))

	// A review that no one ends is over after a while, and text typed in the
	// meantime is kept.
	s.clock.Set(s.clock.Now().Add(newel.ReviewDuration))
	supervisor.post(path+"/actions", with(form, "text", "A last thing", "whose", "clinic", "form_token", "0195a0c4-7b1e-7c3a-9d52-3f6f0a1b2c98")).leads(path + "#agreed")
	supervisor.get(path).check(htmlcheck.In(".say"), htmlcheck.Count(".actions li", 3))
	if next := supervisor.begun(); next == path {
		t.Error("a forgotten review continues")
	}
	supervisor.get(learner).check(htmlcheck.In("section[aria-labelledby=reviews]", htmlcheck.HasText("3 things agreed")))
}
