package httpd

import (
	"net/http"
	"strings"
	"testing"

	"newel/internal/htmlcheck"
)

// An incident seen by a caregiver comes first on the caseload until the clinic
// has responded. Both sides add notes, and nothing is changed.
func TestIncidents(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	supervisor, mother, trainee := s.as(s.Supervisor), s.as(s.Home.Caregiver), s.as(s.Trainee)
	page := mother.get("/incidents").want(http.StatusOK).check(htmlcheck.In(".letters",
		htmlcheck.HasText("Call your local emergency number"), htmlcheck.HasText("not what you think it means"), htmlcheck.HasText("Think about asking a doctor")))
	form := with(page.form(".letters form"), "saw", "<b>Fell</b> from the second stair.", "minutes", "a while", "happened_on", "2031-01-01")
	mother.post("/incidents", form).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In(".problems", htmlcheck.HasText("Choose whether someone was hurt"), htmlcheck.HasText("whole minutes")),
		htmlcheck.In("textarea[name=saw]", htmlcheck.HasText("<b>Fell</b> from the second stair.")))
	form = with(form, "minutes", "2", "hurt", "yes", "before", "Ran after the ball.", "happened_on", page.form(".letters form").Get("happened_on"))
	mother.post("/incidents", form).leads("/incidents")
	mother.post("/incidents", form).leads("/incidents") // resubmitting changes nothing
	own := mother.get("/incidents").check(htmlcheck.Count(".incident", 1), htmlcheck.In(".incident",
		htmlcheck.HasText("Someone was hurt."), htmlcheck.HasText("Ran after the ball."), htmlcheck.HasText("2 minutes"), htmlcheck.HasText("has not responded yet")),
		htmlcheck.NotIn(`button[name=follows]`))
	mother.post(own.attr(".incident form", "action"), with(own.form(".incident form"), "note", "It was wet.")).leads("/incidents")

	supervisor.get("/caseload").check(htmlcheck.In("main section:first-of-type", htmlcheck.HasText("Someone was hurt."), htmlcheck.HasText("<b>Fell</b>")))
	path := "/learners/" + s.Home.Learner.String() + "/incidents"
	trainee.get(path).want(http.StatusOK).check(htmlcheck.Count(".incident", 1), htmlcheck.NotIn(".letters form"))
	theirs := supervisor.get(path).want(http.StatusOK).check(htmlcheck.In(".letters", htmlcheck.HasText("legal duty"), htmlcheck.HasText("It was wet.")))
	action, answer := theirs.attr(".incident form", "action"), theirs.form(".incident form")
	supervisor.post(action, with(answer, "note", " ", "follows", "yes")).want(http.StatusUnprocessableEntity).check(htmlcheck.In(".incident .error"))
	supervisor.post(action, with(answer, "note", "A call today; the stairs get a mat.", "follows", "yes")).leads(path)
	if text := supervisor.get("/caseload").text("main"); strings.Contains(text, "Someone was hurt.") {
		t.Error("an incident with a response is still on the caseload")
	}
	mother.get("/incidents").check(htmlcheck.In(".incident", htmlcheck.HasText("A call today; the stairs get a mat."), htmlcheck.HasText("The clinic responded: "+s.Supervisor.Name)))
	s.as(s.NextDoor.Caregiver).get("/incidents").want(http.StatusOK).check(htmlcheck.NotIn(".incident"))
	s.as(s.NextDoor.Caregiver).post(strings.Replace(action, path, "/incidents", 1), with(answer, "note", "Not mine.")).want(http.StatusNotFound)

	// Staff record what they were told.
	clinic := supervisor.get(path).form("section[aria-labelledby=incident-new] form")
	supervisor.post(path, with(clinic, "saw", "Told on the call: three nights without sleep.", "hurt", "no")).leads(path)
	supervisor.get(path).check(htmlcheck.Count(".incident", 2))
}
