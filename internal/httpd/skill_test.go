package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/program"
)

// needy returns a program with skills and its own title.
func needy(title string, needs []string, teaches ...program.TaughtSkill) program.Document {
	d := fixture.WashingHands()
	d.Title, d.Needs, d.Teaches = title, needs, teaches
	return d
}

// listed adds a skill to the list and returns its page.
func (b *browser) listed(name, area string) string {
	b.t.Helper()
	b.post("/skills", url.Values{"name": {name}, "area": {area}}).leads("/skills")
	_, rest, _ := strings.Cut(b.get("/skills").want(http.StatusOK).body, "<h3><a href=\"/skills/")
	for {
		id, after, found := strings.Cut(rest, "\">"+name)
		if found && !strings.Contains(id, "<") {
			return "/skills/" + id
		}
		if _, rest, found = strings.Cut(rest, "<h3><a href=\"/skills/"); !found {
			b.t.Fatalf("%s is not on the list: %s", name, after)
		}
	}
}

func TestSkillPages(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	waiting := s.Publish(t, needy("Waiting", nil, program.TaughtSkill{Skill: "waits a minute", Step: "b2"}))
	s.Publish(t, needy("Bakery", []string{"Waits a minute", "chooses"}))
	lead, trainee := s.as(s.Lead), s.as(s.Trainee)
	path := lead.listed("waits a minute", "coping")
	lead.post("/skills", url.Values{"name": {" Waits  a minute"}}).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In("#f-name-error", htmlcheck.HasText("already has or had that name")))
	lead.get(path).want(http.StatusOK).check(
		htmlcheck.In("[aria-labelledby=taught-head]", htmlcheck.HasText("Waiting at B2")), htmlcheck.In("[aria-labelledby=needed-head]", htmlcheck.HasText("Bakery")))
	lead.post(path, url.Values{"name": {"waits for a minute"}, "area": {"coping"}}).leads(path)
	lead.get(path).check(htmlcheck.In("h1", htmlcheck.HasText("waits for a minute")), htmlcheck.In("[aria-labelledby=taught-head]", htmlcheck.HasText("Waiting at B2")))
	trainee.get("/skills").want(http.StatusOK).check(htmlcheck.NotIn("form.form"))
	trainee.post(path+"/archive", url.Values{"do": {"away"}}).want(http.StatusForbidden)

	// Every node of the map has a link, except a skill on no list; the list
	// below it says the same.
	lead.get("/skills/map").want(http.StatusOK).check(
		htmlcheck.Count(".mapwide svg a", 3), htmlcheck.Count(".mapwide svg g", 1), htmlcheck.Count(".mapnarrow svg a", 3), htmlcheck.Count(".maplist li", 2),
		htmlcheck.Count(".mapwide a[href='"+path+"']", 1), htmlcheck.Count(".mapwide a[href='/programs/"+waiting.ProgramID.String()+"']", 1))

	id := strings.TrimPrefix(path, "/skills/")
	lead.get("/programs?teaches="+id).check(htmlcheck.Count("table.quiet tbody tr", 1), htmlcheck.In("tbody", htmlcheck.HasText("Waiting")))
	lead.get("/programs?needs="+id).check(htmlcheck.Count("table.quiet tbody tr", 1), htmlcheck.In("tbody", htmlcheck.HasText("Bakery")))
	lead.get("/programs/" + waiting.ProgramID.String()).check(htmlcheck.In("[aria-labelledby=before]", htmlcheck.HasText("waits for a minute at B2")))
	lead.post(path+"/archive", url.Values{"do": {"away"}}).leads(path)
	lead.get("/skills").check(htmlcheck.In("[aria-labelledby=gone-head]", htmlcheck.HasText("waits for a minute")))
}

func TestSkillsInTheEditor(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.Publish(t, needy("Pairs", []string{"washes hands"}, program.TaughtSkill{Skill: "takes turns"}))
	hands := s.Publish(t, needy("Hands", nil, program.TaughtSkill{Skill: "washes hands"}))
	lead := s.as(s.Lead)
	lead.listed("takes turns", "play")
	lead.listed("washes hands", "self-care")
	draft := lead.post("/programs/"+hands.ProgramID.String()+"/revise", nil).want(http.StatusSeeOther).location
	lead.get(draft).want(http.StatusOK).check(htmlcheck.Count("#skill-names option", 2), htmlcheck.In("#f-teaches", htmlcheck.HasText("washes hands")))
	lead.post(draft, url.Values{"rev": {"1"}, "do": {"add-teach"}, "teach_pick": {"dries hands"}, "teach_step": {"B2"}}).want(http.StatusSeeOther)
	lead.post(draft, url.Values{"rev": {"2"}, "do": {"add-need"}, "need_pick": {"takes turns"}}).want(http.StatusSeeOther)
	lead.get(draft).check(
		htmlcheck.In("#f-teaches", htmlcheck.HasText("washes hands dries hands (B2)")), htmlcheck.In("#f-needs", htmlcheck.HasText("takes turns")),
		htmlcheck.In("#f-needs-error", htmlcheck.HasText("Hands → Pairs → Hands")), htmlcheck.In("[data-field=teaches]", htmlcheck.HasText("Not on the clinic’s list of skills yet: “dries hands”")))
	lead.post(draft, url.Values{"rev": {"3"}, "do": {"publish"}, "confirmed": {"yes"}}).want(http.StatusUnprocessableEntity)
	lead.post(draft, url.Values{"rev": {"3"}, "do": {"fix:drop_need:needs"}}).want(http.StatusSeeOther)
	lead.post(draft, url.Values{"rev": {"4"}, "do": {"publish"}, "confirmed": {"yes"}}).want(http.StatusSeeOther)
	lead.get("/skills").check(htmlcheck.In("main", htmlcheck.HasText("dries hands")))
}

func TestLearnerSkillsPages(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	hands := s.Publish(t, needy("Hands", nil, program.TaughtSkill{Skill: "dries hands", Step: "b2"}))
	party := s.Publish(t, needy("Party", []string{"dries hands"}))
	supervisor, trainee := s.as(s.Supervisor), s.as(s.Trainee)
	supervisor.listed("dries hands", "self-care")
	learner := "/learners/" + s.Home.Learner.String()
	supervisor.get(learner).want(http.StatusOK).check(htmlcheck.In(`a[href="` + learner + `/skills"]`))
	page := supervisor.get(learner + "/skills").want(http.StatusOK)
	page.check(htmlcheck.Count("ol.skillorder li", 2), htmlcheck.In("ol.skillorder li:first-child", htmlcheck.HasText("Opens Party")),
		htmlcheck.In("ol.skillorder li:last-child", htmlcheck.HasText("After Hands")))
	trainee.get(learner + "/skills").want(http.StatusOK).check(htmlcheck.NotIn("#note"))

	// The assign page says what is missing, and continues with a confirmation.
	assign := learner + "/assign"
	supervisor.get(page.attr("ol.skillorder .btn", "href")).want(http.StatusOK).check(htmlcheck.In("[value='" + hands.ProgramID.String() + "'][checked]"))
	supervisor.get(assign).check(htmlcheck.Count("#f-program .choice", 2), htmlcheck.In("#f-program", htmlcheck.HasText("Missing: dries hands")),
		htmlcheck.In("[aria-labelledby=lacking]", htmlcheck.HasText("Hands at B2")))
	supervisor.post(assign, url.Values{"program": {party.ProgramID.String()}}).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In("#f-all_the_same-error", htmlcheck.HasText("“dries hands”")))
	supervisor.post(assign, url.Values{"program": {party.ProgramID.String()}, "all_the_same": {"yes"}}).leads(learner)

	// A refused form keeps what was typed, with its errors.
	skills := learner + "/skills"
	supervisor.post(skills, url.Values{"skill": {"dries hands"}, "status": {"acquired"}, "on": {"2026-03-01"}}).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In("#f-evidence-error"), htmlcheck.In("#f-status-acquired[checked]"), htmlcheck.In("#f-skill[value='dries hands']"))
	supervisor.post(skills, url.Values{"skill": {"dries hands"}, "status": {"acquired"}, "on": {"2026-03-01"}, "evidence": {"five of five"}}).leads(skills)
	supervisor.get(skills).check(htmlcheck.In("[aria-labelledby=known-head]", htmlcheck.HasText("five of five")))
	supervisor.get(skills+"/map").want(http.StatusOK).check(htmlcheck.Count(".mapwide .m-had", 1), htmlcheck.Count(".mapwide .m-begun", 1))
	supervisor.get(assign).check(htmlcheck.NotIn("[aria-labelledby=lacking]"))
}
