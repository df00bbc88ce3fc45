package httpd

import (
	"maps"
	"net/http"
	"strings"
	"testing"

	"newel/internal/htmlcheck"
	"newel/internal/newel"
)

func TestDemoDoors(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.server.demo = &Demo{Key: "open-sesame-key", Clinic: s.Clinic, Accounts: map[string]newel.AccountID{
		"supervisor": s.Supervisor.Account, "caregiver": s.Home.Caregiver.Account,
	}}
	s.handler = s.server.Handler()
	b := s.anybody()
	b.get("/demo/open-sesame-key/supervisor").want(http.StatusOK).check(htmlcheck.In("main form button", htmlcheck.HasText("Tomas Rind")))
	if len(b.cookies) != 0 {
		t.Error("showing the door's page signed in")
	}
	b.post("/demo/open-sesame-key/supervisor", nil).leads("/")
	b.get("/").leads("/caseload")
	b.post("/demo/open-sesame-key/caregiver", nil).leads("/")
	b.get("/").leads("/today")
	for _, path := range []string{"/demo/open-sesame-kez/supervisor", "/demo/open/supervisor", "/demo/open-sesame-key/office", "/demo/open-sesame-key/"} {
		b.get(path).want(http.StatusNotFound)
		b.post(path, nil).want(http.StatusNotFound)
	}
	s.server.demo.Key = ""
	b.get("/demo//supervisor").want(http.StatusNotFound)
}

// If someone enters by a door while the answer to a lock request is lost, the
// person who locked the phone is still remembered.
func TestDemoDoorKeepsTheLockedPerson(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.server.demo = &Demo{Key: "open-sesame-key", Clinic: s.Clinic, Accounts: map[string]newel.AccountID{
		"caregiver": s.Home.Caregiver.Account, "neighbour": s.NextDoor.Caregiver.Account,
	}}
	s.handler = s.server.Handler()
	phone := s.anybody()
	phone.post("/demo/open-sesame-key/caregiver", nil).leads("/")
	phone.ask("/phone/pin", `{"pin": "4711"}`).want(http.StatusOK)
	before := maps.Clone(phone.cookies)
	phone.ask("/phone/lock", `{"force": true}`).want(http.StatusOK)
	phone.cookies = before // the answer was lost
	phone.post("/demo/open-sesame-key/neighbour", nil).leads("/")
	if body := phone.get("/phone/accounts").want(http.StatusOK).body; !strings.Contains(body, s.Home.Caregiver.Account.String()) {
		t.Errorf("the person who locked the phone was forgotten: %s", body)
	}
}

func TestDemoDoorsNeedADemo(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.anybody().get("/demo/x/supervisor").want(http.StatusNotFound)
	s.anybody().post("/demo/x/supervisor", nil).want(http.StatusNotFound)
}
