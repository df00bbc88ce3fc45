package httpd

import (
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"newel/internal/fixture"
	"newel/internal/href"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
	"newel/internal/recording"
)

// benchSite is a site on a fixture.Bench.
type benchSite struct {
	*site
	*fixture.Bench
}

func newBenchSite(t testing.TB) benchSite {
	t.Helper()
	s := newBareSite(t, "http://newel.test")
	b := benchSite{s, fixture.NewBench(t, s.World.DB)}
	s.World.Clinic = b.Bench.Clinic
	return b
}

// session returns a session of this morning.
func (b benchSite) session(marks string) fixture.Session {
	return fixture.Session{House: b.Bench.Home, Start: time.Date(2026, 3, 12, 16, 30, 0, 0, time.FixedZone("", 8*3600)), Marks: marks}
}

// put sends a body as a phone does, and fails on an HTML answer.
func (b *browser) put(path, kind string, body io.Reader) *reply {
	b.t.Helper()
	r := httptest.NewRequest(http.MethodPut, path, body)
	r.Header.Set("Content-Type", kind)
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	p := b.send(r) // sends Accept: text/html
	if kind := p.header.Get("Content-Type"); strings.Contains(kind, "html") || strings.Contains(p.body, "<") {
		b.t.Errorf("PUT %s answers with a page: %s", path, kind)
	}
	return p
}

func (b *browser) putDocument(d recording.Document) *reply {
	b.t.Helper()
	return b.put("/recordings/"+d.ID.String(), recording.MediaType, strings.NewReader(string(d.Encode())))
}

func (p *reply) problem() phoneProblem {
	p.t.Helper()
	var out phoneProblem
	if err := json.Unmarshal([]byte(p.body), &out); err != nil || p.header.Get("Content-Type") != "application/json" {
		p.t.Errorf("not a problem as JSON: %s %s", p.header.Get("Content-Type"), p.body)
	}
	return out
}

func TestPutRecording(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	phone := b.as(b.Bench.Home.Caregiver)
	d := b.session("aa1n").Document()
	first := phone.putDocument(d)
	first.want(http.StatusCreated)
	var receipt recording.Receipt
	if err := json.Unmarshal([]byte(first.body), &receipt); err != nil || first.header.Get("Content-Type") != recording.ReceiptMediaType {
		t.Fatalf("%s: %s", first.header.Get("Content-Type"), first.body)
	}
	if receipt.ID != d.ID || receipt.SHA256 != recording.Sum(d.Encode()) || !receipt.Closed || receipt.SafeThrough != 4 {
		t.Errorf("got %+v", receipt)
	}
	if again := phone.putDocument(d); again.want(http.StatusOK).body != first.body {
		t.Errorf("a different receipt for the same body: %s", again.body)
	}
	if strings.Contains(b.logs.String(), "Kavi") || strings.Contains(b.logs.String(), d.ID.String()) {
		t.Error("the request log contains ids or content")
	}
}

func TestPutRefusals(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	phone := b.as(b.Bench.Home.Caregiver)
	d := b.session("a").Document()
	path, good := "/recordings/"+d.ID.String(), string(d.Encode())
	for _, c := range []struct {
		name, path, kind, body string
		status                 int
		error, at              string
	}{
		{"another media type", path, "application/json", good, http.StatusUnsupportedMediaType, "media_type", ""},
		{"no media type", path, "", good, http.StatusUnsupportedMediaType, "media_type", ""},
		{"an unknown outcome", path, recording.MediaType, strings.Replace(good, `"correct"`, `"perfect"`, 1), http.StatusUnprocessableEntity, "invalid", "trials[0].answer.outcome"},
		{"an unknown field", path, recording.MediaType, strings.Replace(good, `"device"`, `"devices"`, 1), http.StatusUnprocessableEntity, "invalid", "device"},
		{"no JSON", path, recording.MediaType, "<html>", http.StatusUnprocessableEntity, "invalid", ""},
		{"a later contract", path, recording.MediaType, strings.Replace(good, `"contract":2`, `"contract":3`, 1), http.StatusUnprocessableEntity, "contract", ""},
		{"another id", "/recordings/" + newel.NewID[newel.RecordingID]().String(), recording.MediaType, good, http.StatusUnprocessableEntity, "invalid", "id"},
		{"no id", "/recordings/mine", recording.MediaType, good, http.StatusNotFound, "not_found", ""},
	} {
		p := phone.put(c.path, c.kind, strings.NewReader(c.body))
		if got := p.problem(); p.status != c.status || got.Error != c.error || got.Path != c.at {
			t.Errorf("%s: %d %+v", c.name, p.status, got)
		}
	}
	if p := b.anybody().putDocument(d); p.status != http.StatusUnauthorized || p.problem().Error != "sign_in" {
		t.Errorf("without sign-in: %d %s", p.status, p.body)
	}
	if p := b.as(b.Bench.NextDoor.Caregiver).putDocument(d); p.status != http.StatusUnauthorized || p.problem().Error != "sign_in" {
		t.Errorf("another person on the phone: %d %s", p.status, p.body)
	}
	if _, err := b.site.World.DB.Bypass.Exec(t.Context(), `insert into tombstone values ($1, $2, now())`, b.Bench.Clinic, d.ID); err != nil {
		t.Fatal(err)
	}
	if p := phone.putDocument(d); p.status != http.StatusGone || p.problem().Error != "erased" {
		t.Errorf("erased: %d %s", p.status, p.body)
	}
	if n := b.count(`select (select count(*) from recording) + (select count(*) from quarantine)`); n != 0 {
		t.Errorf("%d stored nevertheless", n)
	}
}

// endless counts how many bytes were read.
type endless struct{ read int64 }

func (e *endless) Read(p []byte) (int, error) {
	e.read += int64(len(p))
	return len(p), nil
}

// TestHundredMegabytes checks that they are refused without being read, whether
// or not the phone announces the length.
func TestHundredMegabytes(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	phone := b.as(b.Bench.Home.Caregiver)
	for _, length := range []int64{100 << 20, -1} {
		body := &endless{}
		r := httptest.NewRequest(http.MethodPut, "/recordings/"+newel.NewID[newel.RecordingID]().String(), body)
		r.Header.Set("Content-Type", recording.MediaType)
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		r.ContentLength = length
		if p := phone.send(r); p.status != http.StatusRequestEntityTooLarge || p.problem().Error != "too_large" {
			t.Errorf("length %d: %d %s", length, p.status, p.body)
		}
		if body.read > 2*recording.MaxBody {
			t.Errorf("length %d: %d bytes were read", length, body.read)
		}
	}
}

func TestOneSessionPage(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	phone, desk := b.as(b.Bench.Home.Caregiver), b.as(b.Bench.Supervisor)
	s := b.session("aa1nd")
	d := s.Document()
	phone.putDocument(d)
	s.ID, s.Open, s.Marks = d.ID, true, "aa1nda"
	phone.putDocument(s.Document())

	at := "/recordings/" + d.ID.String()
	page := desk.get(at).want(http.StatusOK).check(htmlcheck.In("table.quiet"), htmlcheck.In(`input[name="ref"]`))
	if !strings.Contains(page.text("main"), "with help: point") || !strings.Contains(page.text("main"), "Arrived after the session was finished.") {
		t.Errorf("page: %s", page.text("main"))
	}
	to := at + "/amendments"
	desk.post(to, url.Values{"what": {"correct"}, "n": {"4"}, "answer": {"alone"}, "reason": {""}}).want(http.StatusUnprocessableEntity).check(htmlcheck.In("#f-reason-error"))
	desk.post(to, url.Values{"what": {"correct"}, "n": {"40"}, "answer": {"alone"}, "reason": {"x"}}).want(http.StatusUnprocessableEntity)
	desk.post(to, url.Values{"what": {"correct"}, "n": {"4"}, "answer": {"alone"}, "reason": {"Seen on the video."}}).leads(at)
	desk.post(to, url.Values{"what": {"join"}, "ref": {page.attr(`input[name="ref"]`, "value")}, "reason": {"Same evening."}}).leads(at)
	after := desk.get(at).check(htmlcheck.In(`input[name="undo"]`))
	for _, want := range []string{"Trial 4 is now: without help", "Seen on the video.", "(Kuala Lumpur time)", "Extra entry added", "Tomas"} {
		if !strings.Contains(after.text("main"), want) {
			t.Errorf("history lacks %q", want)
		}
	}
	desk.post(to, url.Values{"what": {"undo"}, "undo": {after.attr(`input[name="undo"]`, "value")}, "reason": {"Wrong try."}}).leads(at)
	if n := b.count(`select count(*) from amendment`); n != 3 {
		t.Errorf("%d amendments", n)
	}
	phone.get(at).want(http.StatusForbidden)
	phone.post(to, url.Values{"what": {"correct"}}).want(http.StatusForbidden)
}

func TestQuarantinePage(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	house := b.Bench.Home
	phone, desk := b.as(house.Caregiver), b.as(b.Bench.Lead)
	desk.get("/quarantine").want(http.StatusOK).check(htmlcheck.In(".empty"))
	house.Placement = b.Bench.NextDoor.Placement
	d := fixture.Session{House: house, Start: b.session("").Start, Marks: "aaa"}.Document()
	phone.putDocument(d).want(http.StatusCreated)
	page := desk.get("/quarantine").check(htmlcheck.In("form .btn[value=take_in]"))
	if !strings.Contains(page.text("main"), "Wren, Which cup?") || !strings.Contains(page.text("main"), "3 trials") {
		t.Errorf("page: %s", page.text("main"))
	}
	desk.post("/quarantine/"+house.Caregiver.Account.String()+"/"+d.ID.String(), url.Values{"what": {"set_aside"}}).leads("/quarantine")
	desk.get("/quarantine").check(htmlcheck.In(".empty"))
	phone.get("/quarantine").want(http.StatusForbidden)
}

// TestWhoGetsFailuresAsJSON requests a page from every route without signing in:
// only the routes of the phone's script answer with JSON.
func TestWhoGetsFailuresAsJSON(t *testing.T) {
	t.Parallel()
	s := newBareSite(t, "http://newel.test")
	id := newel.NewID[newel.LearnerID]().String()
	asked := map[bool]int{}
	for _, route := range s.server.Routes() {
		if route.Public {
			continue
		}
		path := regexp.MustCompile(`\{\w+\}`).ReplaceAllString(route.Pattern, id)
		p := s.anybody().send(httptest.NewRequest(route.Method, path, nil))
		if got := p.header.Get("Content-Type") == "application/json"; got != route.Phone {
			t.Errorf("%s %s: status %d as %s, phone %v", route.Method, route.Pattern, p.status, p.header.Get("Content-Type"), route.Phone)
		}
		asked[route.Phone]++
	}
	if asked[true] == 0 || asked[false] == 0 {
		t.Errorf("asked %v", asked)
	}
	for _, r := range []*http.Request{httptest.NewRequest(http.MethodGet, href.Phone+"nothing", nil), httptest.NewRequest(http.MethodPut, "/nothing", nil)} {
		s.anybody().send(r).want(http.StatusNotFound).problem()
	}
}
