package httpd

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/program"
)

// taught assigns a program to the learner at home, with overrides on its first
// step, and returns the path of the placement.
func taught(s *site, v program.Version) (placement string) {
	s.t.Helper()
	supervisor, learner := s.as(s.Supervisor), "/learners/"+s.Home.Learner.String()
	supervisor.post(learner+"/assign", with(url.Values{}, "program", v.ProgramID.String())).leads(learner)
	s.Exec(s.t, `update assignment set overrides = '{"b1": {"say": "Rami, towel", "criterion": "90% independent in 2 sessions in a row"}}' where program_id = @program`,
		pgx.NamedArgs{"program": v.ProgramID})
	return supervisor.get(learner).attr(".learnerprograms .run a", "href")
}

func TestLearnerCopyMarksOverrides(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	stay := taught(s, s.Publish(t, fixture.WashingHands()))
	supervisor := s.as(s.Supervisor)
	own := htmlcheck.HasText("B1, for this learner only: what to say, criterion")
	supervisor.get("/learners/"+s.Home.Learner.String()).check(htmlcheck.In(".learnerprograms .ownline", own),
		htmlcheck.In(".learnerprograms a[href='"+stay+"/program']"))
	supervisor.get(stay).check(htmlcheck.In(".head p:not(.say)", htmlcheck.HasText("For this learner only: what to say, criterion.")),
		htmlcheck.In("h1 a[href='"+stay+"/program']"))
	page := supervisor.get(stay+"/program").want(http.StatusOK).check(
		htmlcheck.In(".now", htmlcheck.HasText("Rami’s copy")), htmlcheck.Count("#step-b1 .ownwords", 2), htmlcheck.NotIn("#step-b2 .ownwords"),
		htmlcheck.In("#step-b1 summary .c", htmlcheck.HasText("90% independent in 2 sessions in a row")),
	)
	if text := page.text("#step-b1"); !strings.Contains(text, "Rami, towel") || !strings.Contains(text, "80% independent in 3 sessions in a row") {
		t.Errorf("the override and the value that it replaces: %s", text)
	}
	supervisor.get(stay + "/program/plain").want(http.StatusOK).check(htmlcheck.Count("#step-b1 .ownwords", 2))
	supervisor.get(stay + "/sheet").check(htmlcheck.In(".fridge .ownline", htmlcheck.HasText("what to say")))
	// People who do not reach the family do not learn that a copy exists.
	s.as(s.Office).get(stay + "/program").want(http.StatusForbidden)
}

func TestPlainProgramUsesFamilyWords(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	d := fixture.WashingHands()
	d.MaintenanceWeeks = []int{1, 4}
	v := s.Publish(t, d)
	path := "/programs/" + v.ProgramID.String()
	lead := s.as(s.Lead)
	lead.get(path).check(htmlcheck.In(".acts a[href='" + path + "/plain']"))
	page := lead.get(path + "/plain").want(http.StatusOK).check(htmlcheck.Count(".plainstep", 3))
	for _, want := range []string{"When to move on", "at least 4 of 5 tries without help, in 3 sessions in a row"} {
		if text := page.text("#step-b1"); !strings.Contains(strings.ToLower(text), strings.ToLower(want)) {
			t.Errorf("%q is missing: %s", want, text)
		}
	}
	for _, part := range []string{"#step-b1", "#step-b2", "#step-b3"} {
		for _, trade := range []string{"independent", "criterion", "prompt", "trial"} {
			if text := page.text(part); strings.Contains(strings.ToLower(text), trade) {
				t.Errorf("%s says %q: %s", part, trade, text)
			}
		}
	}
	if text := page.text("main"); !strings.Contains(text, "In weeks 1, 4.") || !strings.Contains(text, "we check again later") {
		t.Errorf("nothing of what comes afterwards: %s", text)
	}
	lead.post(path+"/revise", nil)
	lead.get(path + "/plain?version=draft").want(http.StatusOK).check(htmlcheck.In(".lede", htmlcheck.HasText("No one is being taught with it yet")))
	lead.get(path + "/plain?version=7").want(http.StatusNotFound)
	// A step as the phone gets it, including from the draft.
	lead.get(path + "/plain?version=draft").check(htmlcheck.In("#step-b1 a[href='" + path + "/steps/b1/phone?version=draft']"))
	shown := lead.get(path + "/steps/b1/phone?version=draft").want(http.StatusOK)
	var kit program.Kit
	if err := json.Unmarshal([]byte(shown.attr("main", "data-kit")), &kit); err != nil || shown.attr("[data-frame=recorder]", "data-frame") == "" || kit.StepLabel != "B1" || kit.Say != "Wash hands" || kit.Learner == "" {
		t.Errorf("%+v, %v", kit, err)
	}
	lead.get(path + "/steps/none/phone").want(http.StatusNotFound)
}

func TestOlderVersionLinksToTheLatest(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	v := s.Publish(t, fixture.WashingHands())
	path := "/programs/" + v.ProgramID.String()
	lead := s.as(s.Lead)
	lead.get(path + "?version=1").check(htmlcheck.NotIn(".now a[href='" + path + "']"))
	lead.post(path+"/revise", nil)
	publishes(lead, path+"/draft").leads(path)
	lead.get(path+"?version=1").want(http.StatusOK).check(htmlcheck.In(".now a[href='"+path+"']", htmlcheck.HasText("version 2")),
		htmlcheck.In(".now .flag", htmlcheck.HasText("older version")), htmlcheck.In(".acts a[href='"+path+"/plain?version=1']"),
		htmlcheck.NotIn("details.stepline[open]"))
	lead.get(path+"?version=1&steps=all").check(htmlcheck.Count("details.stepline[open]", 3), htmlcheck.In(".looks a[href='"+path+"?version=1#steps']"))
	lead.get(path).check(htmlcheck.NotIn(".now .flag"))
}

func TestReplayPages(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	v := s.Publish(t, fixture.WashingHands())
	path := "/programs/" + v.ProgramID.String()
	supervisor := s.as(s.Supervisor)
	supervisor.post(path+"/revise", nil)
	supervisor.get(path + "/draft?step=b1").check(htmlcheck.In("#criterion a[href='" + path + "/steps/b1/replay']"))
	supervisor.get(path+"/steps/b1/replay").want(http.StatusOK).check(
		htmlcheck.In("#f-criterion", htmlcheck.HasText("80% independent in 3 sessions in a row")), htmlcheck.In("#f-step_back", htmlcheck.HasText("below 50%")),
		htmlcheck.In(".replaysaid", htmlcheck.HasText("learners you can see")), htmlcheck.NotIn("table.replays"),
	)
	supervisor.get(path + "/steps/none/replay").want(http.StatusNotFound)
	stay := taught(s, v)
	page := supervisor.get(stay + "/replay?criterion=80%25+now+and+then&step_back=").want(http.StatusUnprocessableEntity)
	page.check(htmlcheck.In("#f-criterion", htmlcheck.HasExactText("80% now and then")), htmlcheck.NotIn("#replay-outcome"))
	if !strings.Contains(page.error("criterion"), "now and then") {
		t.Errorf("it does not say what was not understood: %q", page.error("criterion"))
	}
	supervisor.get(stay+"/replay").check(htmlcheck.In(".replaysaid", htmlcheck.HasText("No sessions have been recorded")),
		htmlcheck.In("#f-criterion", htmlcheck.HasText("90% independent in 2 sessions in a row")))
}
