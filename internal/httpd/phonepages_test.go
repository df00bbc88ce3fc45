package httpd

import (
	"net/http"
	"strings"
	"testing"
)

// filesOf are built client files that are not there in a test.
type filesOf map[string]string

func (f filesOf) Asset(name string) string { return "/assets/" + name }
func (f filesOf) Handler() http.Handler    { return http.NotFoundHandler() }
func (f filesOf) Root(name string) ([]byte, bool) {
	body, ok := f[name]
	return []byte(body), ok
}

// TestWorkerOff: an operator can have the worker taken off every phone.
func TestWorkerOff(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	b.server.built = filesOf{"sw.js": "keeps", "sw-off.js": "goes"}
	for off, want := range map[bool]string{false: "keeps", true: "goes"} {
		b.server.noWorker = off
		p := b.anybody().get("/sw.js").want(http.StatusOK)
		if !strings.HasPrefix(p.body, want) || p.header.Get("Cache-Control") != "no-cache" || !strings.HasPrefix(p.header.Get("Content-Type"), "text/javascript") {
			t.Errorf("off %v: %q %v", off, p.body, p.header)
		}
	}
}

// TestWaitingIsSaidOnServerPages: a caregiver's pages that the server renders,
// and those of somebody who is nobody yet, have the line that says what waits
// and its words; the staff's have not.
func TestWaitingIsSaidOnServerPages(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	home := b.Bench.Home
	for path, who := range map[string]*browser{
		"/progress/" + home.Placement.String(): b.as(home.Caregiver),
		"/sign-in":                             b.anybody(),
	} {
		body := who.get(path).want(http.StatusOK).body
		if !strings.Contains(body, `id="outbox"`) || !strings.Contains(body, `data-word="outbox.waiting"`) || !strings.Contains(body, "caregiver.js") {
			t.Errorf("%s says nothing of what waits", path)
		}
	}
	if body := b.as(b.Bench.Lead).get("/caseload").body; strings.Contains(body, `id="outbox"`) {
		t.Error("the caseload speaks of a phone")
	}
}

// TestLeavingIsOfTheShell: there is one way out, with what the phone keeps in
// hand: the page is the shell's, and no form of the server signs a phone out.
func TestLeavingIsOfTheShell(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	shell := b.anybody().get("/today").want(http.StatusOK).body
	if leave := b.anybody().get("/leave").want(http.StatusOK).body; leave != shell {
		t.Error("/leave is not the shell")
	}
	b.as(b.Bench.Home.Caregiver).post("/leave", nil).want(http.StatusMethodNotAllowed)
}

// TestPicturesMayBeShown: pictures come out of the person's own store, which
// a page names by blob:.
func TestPicturesMayBeShown(t *testing.T) {
	t.Parallel()
	policy := newBenchSite(t).anybody().get("/today").header.Get("Content-Security-Policy")
	if !strings.Contains(policy, "img-src 'self' data: blob:;") || strings.Contains(policy, "script-src 'self' blob:") {
		t.Error(policy)
	}
}
