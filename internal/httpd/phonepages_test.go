package httpd

import (
	"net/http"
	"strings"
	"testing"
)

// filesOf are built client files for a test.
type filesOf map[string]string

func (f filesOf) Asset(name string) string { return "/assets/" + name }
func (f filesOf) Handler() http.Handler    { return http.NotFoundHandler() }
func (f filesOf) Root(name string) ([]byte, bool) {
	body, ok := f[name]
	return []byte(body), ok
}

// TestWorkerOff checks that an operator can remove the worker from every phone.
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

// TestServerPagesShowUnsentSessions checks that server-rendered pages for
// caregivers and signed-out visitors have the line about unsent sessions with
// its texts, and that staff pages do not.
func TestServerPagesShowUnsentSessions(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	home := b.Bench.Home
	for path, who := range map[string]*browser{
		"/progress/" + home.Placement.String(): b.as(home.Caregiver),
		"/sign-in":                             b.anybody(),
	} {
		body := who.get(path).want(http.StatusOK).body
		if !strings.Contains(body, `id="outbox"`) || !strings.Contains(body, `data-word="outbox.waiting"`) || !strings.Contains(body, "caregiver.js") {
			t.Errorf("%s lacks the line about unsent sessions", path)
		}
	}
	if body := b.as(b.Bench.Lead).get("/caseload").body; strings.Contains(body, `id="outbox"`) {
		t.Error("the caseload has the phone's line")
	}
}

// TestLeavePageIsTheShell checks that a phone signs out only through the shell,
// which knows its unsent sessions: the server has no form for that.
func TestLeavePageIsTheShell(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	shell := b.anybody().get("/today").want(http.StatusOK).body
	if leave := b.anybody().get("/leave").want(http.StatusOK).body; leave != shell {
		t.Error("/leave is not the shell")
	}
	b.as(b.Bench.Home.Caregiver).post("/leave", nil).want(http.StatusMethodNotAllowed)
}

// TestPicturesMayBeShown checks that pages may show blob: pictures, which come
// from the person's own store.
func TestPicturesMayBeShown(t *testing.T) {
	t.Parallel()
	policy := newBenchSite(t).anybody().get("/today").header.Get("Content-Security-Policy")
	if !strings.Contains(policy, "img-src 'self' data: blob:;") || strings.Contains(policy, "script-src 'self' blob:") {
		t.Error(policy)
	}
}
