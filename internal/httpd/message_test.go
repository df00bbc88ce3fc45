package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"newel/internal/htmlcheck"
	"newel/internal/newel"
)

// A family's message stays on the caseload until someone at the clinic has read
// or answered it, and the clinic's on the family's Today.
func TestMessages(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	one, two := s.process(t), s.process(t)
	supervisor, mother, trainee := s.as(s.Supervisor), s.as(s.Home.Caregiver), s.as(s.Trainee)
	thread := "/families/" + s.Home.ID.String() + "/messages"
	_, desk := one.watch(t, supervisor, thread+"/live")
	neighbour := s.Account(t, "Nadia Orr", newel.Supervisor)
	s.LookAfter(t, &neighbour, s.NextDoor.ID)
	if status, _ := two.watch(t, s.as(neighbour), thread+"/live"); status != http.StatusNotFound {
		t.Errorf("a stranger's stream: %d", status)
	}

	page := mother.get("/messages").want(http.StatusOK).check(htmlcheck.In(".letters", htmlcheck.HasText("local emergency number"), htmlcheck.HasText("No messages yet")))
	form := page.form(".letters form")
	if wrong := mother.post("/messages", with(form, "message", "  ")).error("message"); wrong == "" {
		t.Error("an empty message was accepted")
	}
	typed := with(form, "message", "He <b>asked</b> for it himself.\nTwice.")
	mother.post("/messages", typed).leads("/messages")
	mother.post("/messages", typed).leads("/messages") // resubmitting changes nothing
	wants(t, desk, "changed")
	mother.get("/messages").check(htmlcheck.Count(".letters li", 1), htmlcheck.In(".letters li.own", htmlcheck.HasText("Not read yet.")), htmlcheck.Count(".letters form", 1))
	supervisor.get("/caseload").check(htmlcheck.Count(".letterlist li", 1), htmlcheck.In(".letterlist", htmlcheck.HasText("Lubna"), htmlcheck.HasText("He <b>asked</b>")))
	s.as(neighbour).get("/caseload").check(htmlcheck.NotIn(".letterlist"))
	if got := mother.day("", "").Messages; got != 0 {
		t.Errorf("one's own message counts as new: %d", got)
	}

	trainee.get(thread).want(http.StatusOK).check(htmlcheck.Count(".letters li", 1), htmlcheck.NotIn(".letters form"))
	// A message that arrives while someone is answering is not marked as read.
	answer := supervisor.get(thread).want(http.StatusOK).check(htmlcheck.In(".letters li b.clay"), htmlcheck.Count(".letters form", 2)).form(".letters form")
	mother.post("/messages", url.Values{"message": {"And once more."}}).leads("/messages")
	supervisor.post(thread, with(answer, "message", "How good. Let him.")).leads(thread)
	supervisor.get("/caseload").check(htmlcheck.In(".letterlist", htmlcheck.HasText("And once more.")))
	mother.get("/messages").check(htmlcheck.In(".letters li:last-child", htmlcheck.HasText("Read by "+s.Supervisor.Name)), htmlcheck.In(".letters li b.clay"))
	if got := mother.day("", "").Messages; got != 1 {
		t.Errorf("%d new messages, want 1", got)
	}

	read := supervisor.get(thread).form(".letters form + form")
	supervisor.post(thread+"/read", read).leads(thread)
	supervisor.get("/caseload").check(htmlcheck.NotIn(".letterlist"))
	mother.post("/messages/read", mother.get("/messages").form(".letters form + form")).leads("/messages")
	if got := mother.day("", "").Messages; got != 0 {
		t.Errorf("%d new messages after reading", got)
	}
	if list := mother.get("/messages").text(".letters ol"); !strings.HasPrefix(list, "How good. Let him.") {
		t.Errorf("the newest is not first: %s", list)
	}
	// Another family's messages cannot be marked by naming one of theirs.
	s.as(s.NextDoor.Caregiver).post("/messages/read", url.Values{"until": read["until"]}).leads("/messages")
}
