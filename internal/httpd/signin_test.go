package httpd

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"newel/internal/account"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
)

const goodPassword = "walnut ladder quiet harbour"

// hashOf returns the hash of a password at low cost, because these tests are
// not about the cost.
func hashOf(t testing.TB, password string, cost account.Cost) string {
	t.Helper()
	hash, err := account.NewHasher(cost).Hash(context.Background(), password)
	if err != nil {
		t.Fatal(err)
	}
	return hash
}

func setupForm(change url.Values) url.Values {
	form := url.Values{
		"clinic": {"Stair House"}, "time_zone": {"Asia/Kuala_Lumpur"}, "name": {"Amaru Quell"}, "email": {"Amaru@Stair.example"},
		"password": {goodPassword}, "again": {goodPassword},
	}
	for k, v := range change {
		form[k] = v
	}
	return form
}

func (s *site) firstRun() string {
	s.t.Helper()
	link, created, err := s.app.FirstRun(context.Background())
	if err != nil || !created {
		s.t.Fatalf("first run: created %v, %v", created, err)
	}
	return link
}

func TestFirstStart(t *testing.T) {
	t.Parallel()
	s := newBareSite(t, "https://newel.test")
	before := s.firstRun()
	link := s.firstRun()
	b := s.anybody()
	b.get(before).want(http.StatusGone).check()
	b.get("/setup/" + account.NewToken()).want(http.StatusNotFound).check()
	b.get(link).want(http.StatusOK).check(
		htmlcheck.Count(`input[type="password"]`, 2), htmlcheck.In(`input[name="time_zone"]`),
		htmlcheck.In(`input[name="email"][autocomplete="username"]`), htmlcheck.NotIn(`[onpaste]`))

	reply := b.post(link, setupForm(url.Values{"password": {"short"}, "time_zone": {"Mars"}, "email": {"Amaru <a@stair.example>"}, "name": {""}}))
	for _, field := range []string{"password", "time_zone", "email", "name"} {
		if reply.error(field) == "" {
			t.Errorf("no message beside %s", field)
		}
	}
	if got := reply.attr(`input[name="clinic"]`, "value"); got != "Stair House" {
		t.Errorf("clinic comes back as %q", got)
	}
	if strings.Contains(reply.body, "short\"") {
		t.Error("the password was sent back")
	}
	if got := b.post(link, setupForm(url.Values{"again": {goodPassword + "!"}})).error("again"); got == "" {
		t.Error("no message beside the second password")
	}

	b.post(link, setupForm(nil)).leads("/")
	b.get("/").leads("/caseload")
	b.get("/people").want(http.StatusOK).check(htmlcheck.In("tbody tr", htmlcheck.HasText("amaru@stair.example")))
	s.anybody().get(link).want(http.StatusGone).check(htmlcheck.In("main", htmlcheck.HasText("no longer works")))
	s.anybody().post(link, setupForm(nil)).want(http.StatusGone).check()
	if _, created, err := s.app.FirstRun(context.Background()); created || err != nil {
		t.Errorf("first run of a clinic that is set up: created %v, %v", created, err)
	}
}

func TestConcurrentSetup(t *testing.T) {
	t.Parallel()
	s := newBareSite(t, "http://newel.test")
	link := s.firstRun()
	statuses := together(2, func(int) int { return s.anybody().post(link, setupForm(nil)).status })
	if statuses[http.StatusSeeOther] != 1 || statuses[http.StatusGone] != 1 {
		t.Errorf("statuses %v, want one 303 and one 410", statuses)
	}
	if n := s.count(`select count(*) from credential`); n != 1 {
		t.Errorf("%d credentials, want 1", n)
	}
}

func TestConcurrentFirstRunsCreateOneClinic(t *testing.T) {
	t.Parallel()
	s := newBareSite(t, "http://newel.test")
	together(4, func(int) int {
		if _, _, err := s.app.FirstRun(context.Background()); err != nil {
			t.Error(err)
		}
		return 0
	})
	if n := s.count(`select count(*) from clinic`); n != 1 {
		t.Errorf("%d clinics, want 1", n)
	}
	if n := s.count(`select count(*) from setup_link where revoked_at is null`); n != 1 {
		t.Errorf("%d links work, want 1", n)
	}
}

func TestSetupLinkExpires(t *testing.T) {
	t.Parallel()
	s := newBareSite(t, "http://newel.test")
	link := s.firstRun()
	s.clock.Set(s.clock.Now().Add(newel.SetupLinkDays*24*time.Hour - time.Minute))
	s.anybody().get(link).want(http.StatusOK)
	s.clock.Set(s.clock.Now().Add(time.Minute))
	s.anybody().get(link).want(http.StatusGone)
	s.anybody().post(link, setupForm(nil)).want(http.StatusGone)
}

// together runs do n times concurrently and counts the results.
func together(n int, do func(i int) int) map[int]int {
	var mu sync.Mutex
	var wg sync.WaitGroup
	got := map[int]int{}
	for i := range n {
		wg.Go(func() {
			v := do(i)
			mu.Lock()
			defer mu.Unlock()
			got[v]++
		})
	}
	wg.Wait()
	return got
}

var tokenValue = regexp.MustCompile(`value="[0-9a-f-]{36}"`)

// People who guess names learn nothing: not from the status, the text or the
// work done. (OWASP Authentication Cheat Sheet, from memory: the same generic
// answer for every failure.)
func TestSignInRevealsNothing(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.Credential(t, s.Lead, "mara@stair.example", hashOf(t, goodPassword, account.DefaultCost))
	s.Credential(t, s.Trainee, "ines@stair.example", "")
	s.Credential(t, s.Office, "oda@stair.example", hashOf(t, goodPassword, account.DefaultCost))
	s.Exec(t, `update account set active = false where name = 'Oda Brann'`, nil)
	attempts := map[string]url.Values{
		"wrong password":   {"email": {"mara@stair.example"}, "password": {"walnut ladder quiet harbor"}},
		"unknown":          {"email": {"nobody@stair.example"}, "password": {goodPassword}},
		"without password": {"email": {"ines@stair.example"}, "password": {goodPassword}},
		"empty":            {"email": {"ines@stair.example"}, "password": {""}},
		"deactivated":      {"email": {"oda@stair.example"}, "password": {goodPassword}},
		"not an address":   {"email": {"'; select 1 --"}, "password": {goodPassword}},
	}
	var same string
	for name, form := range attempts {
		runs := s.hasher.runs.Load()
		reply := s.anybody().post("/sign-in", form).want(http.StatusUnprocessableEntity).check()
		if got := s.hasher.runs.Load() - runs; got != 1 {
			t.Errorf("%s: %d hashes, want 1", name, got)
		}
		if len(reply.cookies) != 0 {
			t.Errorf("%s: cookies %v", name, reply.cookies)
		}
		body := tokenValue.ReplaceAllString(reply.body, "")
		body = strings.ReplaceAll(body, htmlEscape(form.Get("email")), "EMAIL")
		if same == "" {
			same = body
		}
		if body != same {
			t.Errorf("%s: the page differs from the others\n%s\n%s", name, body, same)
		}
	}
}

func htmlEscape(s string) string {
	return strings.NewReplacer("'", "&#39;", "&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;").Replace(s)
}

func TestSignIn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	weak := account.Cost{Memory: 1024, Passes: 1, Threads: 1}
	s.Credential(t, s.Supervisor, "tomas@stair.example", hashOf(t, "Übung macht den Meister", weak))
	b := s.anybody()
	b.get("/families").leads("/sign-in?next=%2Ffamilies")
	if len(b.cookies) != 0 {
		t.Errorf("a visitor was given cookies: %v", b.cookies)
	}
	page := b.get("/sign-in?next=%2Ffamilies").want(http.StatusOK).check(htmlcheck.In("main", htmlcheck.HasText("Families")))
	if next := page.attr(`input[name="next"]`, "value"); next != "/families" {
		t.Errorf("next is %q", next)
	}
	// Typed with a different Unicode composition, and the name in capitals.
	reply := b.post("/sign-in", url.Values{"email": {" TOMAS@stair.example "}, "password": {"Übung macht den Meister"}, "next": {"/families"}})
	reply.leads("/families")
	if len(reply.cookies) != 1 {
		t.Fatalf("cookies %v", reply.cookies)
	}
	c := reply.cookies[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Secure || c.Path != "/" || c.MaxAge != 0 {
		t.Errorf("cookie %+v", c)
	}
	b.get("/families").want(http.StatusOK).check(htmlcheck.In(".top .who", htmlcheck.HasText("Tomas Rind")))
	b.get("/sign-in?next=//evil.example").leads("/")
	cost := account.DefaultCost
	renewed := fmt.Sprintf("$argon2id$v=19$m=%d,t=%d,p=%d$%%", cost.Memory, cost.Passes, cost.Threads)
	if n := s.count(`select count(*) from credential where password_hash like '` + renewed + `'`); n != 1 {
		t.Error("a password hashed with less work was not rehashed")
	}
	second := s.anybody()
	second.post("/sign-in", url.Values{"email": {"tomas@stair.example"}, "password": {"Übung macht den Meister"}}).leads("/")

	b.post("/sign-out", nil).leads("/sign-in")
	b.get("/families").leads("/sign-in?next=%2Ffamilies")
	second.get("/families").want(http.StatusOK)
	s.Exec(t, `update account set active = false where name = 'Tomas Rind'`, nil)
	second.get("/families").want(http.StatusSeeOther)
}

func TestSecureCookiesOverHTTPS(t *testing.T) {
	t.Parallel()
	s := newBareSite(t, "https://newel.test")
	link := s.firstRun()
	for _, c := range s.anybody().post(link, setupForm(nil)).leads("/").cookies {
		if !c.Secure || !c.HttpOnly || !strings.HasPrefix(c.Name, "__Host-") || c.Path != "/" || c.Domain != "" {
			t.Errorf("cookie %+v", c)
		}
	}
}

func TestSignInIsRenewed(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.Credential(t, s.Lead, "mara@stair.example", hashOf(t, goodPassword, account.DefaultCost))
	b := s.as(s.Supervisor)
	name := s.server.sessions.Cookie.Name
	before := b.cookies[name]
	b.post("/sign-in", url.Values{"email": {"mara@stair.example"}, "password": {goodPassword}}).leads("/")
	if b.cookies[name] == before {
		t.Error("signing in kept the earlier token")
	}
	b.cookies[name] = before
	b.get("/families").want(http.StatusSeeOther)
}

func TestChangingThePasswordEndsOtherSignIns(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.Credential(t, s.Lead, "mara@stair.example", hashOf(t, goodPassword, account.DefaultCost))
	b, elsewhere := s.as(s.Lead), s.as(s.Lead)
	b.get("/password").want(http.StatusOK).check()
	const better = "seven otters paint a fence"
	if got := b.post("/password", url.Values{"current": {"not it at all, no"}, "password": {better}, "again": {better}}).error("current"); got == "" {
		t.Error("a wrong current password was accepted")
	}
	b.post("/password", url.Values{"current": {goodPassword}, "password": {better}, "again": {better}}).leads("/")
	b.get("/families").want(http.StatusOK)
	elsewhere.get("/families").leads("/sign-in?next=%2Ffamilies")
	s.anybody().post("/sign-in", url.Values{"email": {"mara@stair.example"}, "password": {goodPassword}}).want(http.StatusUnprocessableEntity)
	s.anybody().post("/sign-in", url.Values{"email": {"mara@stair.example"}, "password": {better}}).leads("/")
}

func TestGuessingIsSlowed(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.Credential(t, s.Lead, "mara@stair.example", hashOf(t, goodPassword, account.DefaultCost))
	wrong := url.Values{"email": {"mara@stair.example"}, "password": {"walnut ladder quiet"}}
	for range 5 {
		s.anybody().post("/sign-in", wrong).want(http.StatusUnprocessableEntity)
	}
	reply := s.anybody().post("/sign-in", wrong).want(http.StatusTooManyRequests).check(htmlcheck.In(".problems"))
	if reply.header.Get("Retry-After") == "" {
		t.Error("no Retry-After")
	}
	// No one else is locked out by it, and she only for a while.
	home := s.anybody()
	home.address = "198.51.100.9:1"
	right := url.Values{"email": {"mara@stair.example"}, "password": {goodPassword}}
	home.post("/sign-in", right).leads("/")
	s.clock.Set(s.clock.Now().Add(5 * time.Minute))
	s.anybody().post("/sign-in", right).leads("/")
}

func TestRateOfGuesses(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	limited := together(rateGuess+5, func(int) int { return s.anybody().get("/join/" + account.NewToken()).status })
	if limited[http.StatusNotFound] < rateGuess || limited[http.StatusTooManyRequests] == 0 {
		t.Errorf("statuses %v", limited)
	}
	other := s.anybody()
	other.address = "198.51.100.9:1"
	other.get("/join/" + account.NewToken()).want(http.StatusNotFound)
}

func TestReturnsOnlyToThisSite(t *testing.T) {
	t.Parallel()
	for path, want := range map[string]string{
		"/families":             "/families",
		"/families?a=b&c=%2F":   "/families?a=b&c=%2F",
		"":                      "/",
		"families":              "/",
		"//evil.example/x":      "/",
		"/\\evil.example":       "/",
		"/%2F/evil.example":     "/",
		"https://evil.example/": "/",
		"javascript:alert(1)":   "/",
		"/sign-in?next=/":       "/",
		"/a\r\nSet-Cookie: x":   "/",
		"/\tevil":               "/",
	} {
		if got := safeReturn(path); got != want {
			t.Errorf("safeReturn(%q) = %q, want %q", path, got, want)
		}
	}
}

func TestStartPages(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	for _, c := range []struct {
		who   newel.Actor
		start string
		nav   string
	}{
		{s.Lead, "/caseload", "CaseloadFamiliesLibrary"},
		{s.Supervisor, "/caseload", "CaseloadFamiliesLibrary"},
		{s.Trainee, "/caseload", "CaseloadFamiliesLibrary"},
		{s.Office, "/families", "Families"},
		{s.Administrator, "/people", "FamiliesClinic"},
	} {
		b := s.as(c.who)
		b.get("/").leads(c.start)
		if got := b.get("/families").want(http.StatusOK).check().text(".top nav"); got != c.nav {
			t.Errorf("%s: navigation %q, want %q", c.who.Name, got, c.nav)
		}
	}
	s.as(s.Home.Caregiver).get("/").leads("/today")
	s.as(s.Home.Caregiver).get("/families").want(http.StatusForbidden).check()
	s.anybody().get("/").leads("/sign-in")
}

func TestOnlyPagesRedirectToSignIn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	b := s.anybody()
	b.post("/families/new", url.Values{"name": {"x"}}).want(http.StatusUnauthorized)
	r := httptest.NewRequest(http.MethodGet, "/families", nil)
	r.Header.Set("Accept", "application/json")
	reply := b.send(r).want(http.StatusUnauthorized)
	if reply.location != "" || strings.Contains(reply.body, "<html") {
		t.Errorf("a program was sent a page: %q", reply.body)
	}
}
