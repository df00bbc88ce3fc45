package httpd

import (
	"net/http"
	"testing"

	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/say"
	"newel/internal/view"
)

// Changes to a step for one learner: a refused form keeps what was typed, and
// saved changes appear on the learner's pages and the family's phone.
func TestChangesForOneLearner(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	first := s.taught(fixture.WashingHands(), "aaaan")
	path := "/placements/" + first.String()
	supervisor := s.as(s.Supervisor)
	supervisor.get(path).check(htmlcheck.In(".elsewhere a", htmlcheck.HasText("Change this step for this learner")))

	form := supervisor.get(path + "/own").want(http.StatusOK).form("form.form")
	with(form, "criterion", "mostly <b>", "trials", "few", "say", "Hands, please", "reason", "")
	back := supervisor.post(path+"/own", form).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In("#f-reason-error", htmlcheck.HasText("This is missing")), htmlcheck.In("#f-say", htmlcheck.HasText("Hands, please")))
	again := with(back.form("form.form"), "reason", "knows these words", "trials", "")
	back = supervisor.post(path+"/own", again).want(http.StatusUnprocessableEntity).check(htmlcheck.In("#f-criterion[value='mostly <b>']"), htmlcheck.In("#f-criterion-error"))
	saved := with(back.form("form.form"), "criterion", "")
	to := supervisor.post(path+"/own", saved).want(http.StatusSeeOther).location
	if to == path {
		t.Fatal("changed texts leave the old placement open")
	}
	supervisor.get(to).want(http.StatusOK).check(htmlcheck.In("main", htmlcheck.HasText("For this learner only: what to say")), htmlcheck.In("main", htmlcheck.HasText("knows these words")))
	supervisor.get(to + "/own").check(htmlcheck.In("#f-say", htmlcheck.HasText("Hands, please")))
	supervisor.post(path+"/own", saved).want(http.StatusSeeOther) // resubmitting changes nothing
	saved.Set(view.FormTokenName, say.NewToken())
	supervisor.post(path+"/own", saved).want(http.StatusConflict).check(htmlcheck.In("#f-say", htmlcheck.HasText("Hands, please")), htmlcheck.In("[role=alert]"))
}
