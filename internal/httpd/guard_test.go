package httpd

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"newel/internal/account"
	"newel/internal/newel"
)

func TestHeadersOnEveryAnswer(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	staff, phone, nobody := s.as(s.Supervisor), s.as(s.Home.Caregiver), s.anybody()
	put := httptest.NewRequest(http.MethodPut, "/families", nil)
	foreign := httptest.NewRequest(http.MethodPost, "/families/new", nil)
	foreign.Header.Set("Sec-Fetch-Site", "cross-site")
	for name, reply := range map[string]*reply{
		"page": staff.get("/families"), "not found": staff.get("/nowhere"), "id": staff.get("/families/1"), "redirect": nobody.get("/families"),
		"forbidden": phone.get("/people"), "invalid": staff.post("/families/new", nil), "method": nobody.send(put), "foreign": staff.send(foreign),
		"unauthenticated": nobody.post("/families/new", nil), "sign-in": nobody.get("/sign-in"), "health": nobody.get("/healthz"),
		"asset": nobody.get("/assets/nothing.css"), "invitation": nobody.get("/join/" + account.NewToken()),
	} {
		for header, want := range map[string]string{
			"Content-Security-Policy": contentSecurityPolicy, "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY",
			"Referrer-Policy": "same-origin", "Cross-Origin-Opener-Policy": "same-origin", "Cache-Control": "no-store",
		} {
			if got := reply.header.Get(header); got != want {
				t.Errorf("%s (%d): %s is %q, want %q", name, reply.status, header, got, want)
			}
		}
		if strings.Contains(contentSecurityPolicy, "unsafe") {
			t.Error("the policy allows something unsafe")
		}
	}
}

func TestOtherSitesCannotAct(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	b := s.as(s.Supervisor)
	before := s.fingerprint()
	for name, set := range map[string]func(http.Header){
		"fetch metadata": func(h http.Header) { h.Set("Sec-Fetch-Site", "cross-site") },
		"same site":      func(h http.Header) { h.Set("Sec-Fetch-Site", "same-site") },
		"origin":         func(h http.Header) { h.Set("Origin", "https://evil.example") },
		"null origin":    func(h http.Header) { h.Set("Origin", "null") },
	} {
		for _, path := range []string{"/families/new", "/sign-out", "/sign-in", "/persons/" + s.Home.Other.String() + "/invite"} {
			r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(url.Values{"name": {"x"}, "time_zone": {"UTC"}}.Encode()))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			set(r.Header)
			if got := b.send(r).status; got != http.StatusForbidden {
				t.Errorf("%s: POST %s is %d", name, path, got)
			}
		}
	}
	if s.fingerprint() != before {
		t.Error("something changed")
	}
	b.get("/families").want(http.StatusOK) // still signed in
}

func TestFormTooLarge(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.as(s.Supervisor).post("/families/new", url.Values{"name": {strings.Repeat("x", maxForm+1)}}).want(http.StatusRequestEntityTooLarge).check()
}

// The log never contains what people entered or what grants access, however it
// was requested.
func TestLogHoldsNoSecrets(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.Credential(t, s.Administrator, "canary-admin@stair.example", hashOf(t, goodPassword, account.DefaultCost))
	canaries := []string{
		"canary-family", "canary-child", "canary-note", "canary-signs", "canary-consent", "canary-mother", "canary-staff",
		"canary-admin@stair.example", "canary-new@stair.example", "canary-wrong@stair.example", "canary pass phrase wrong", goodPassword, "canary-ua",
	}
	b, admin := s.as(s.Lead), s.as(s.Administrator)
	admin.agent = "canary-ua/1"
	family := b.post("/families/new", url.Values{"name": {"canary-family"}, "time_zone": {"UTC"}}).want(http.StatusSeeOther).location
	b.post(family+"/people", url.Values{"name": {"canary-mother"}}).leads(family)
	b.post(family+"/people", url.Values{"name": {"canary-mother\u202e"}}).want(http.StatusUnprocessableEntity)
	learner := b.post(family+"/learners/new", url.Values{"nickname": {"canary-child"}, "birth_month": {"2022-04"}}).want(http.StatusSeeOther).location
	b.post(family+"/learners/new", url.Values{"nickname": {"canary-child"}, "birth_month": {"canary-note"}}).want(http.StatusUnprocessableEntity)
	b.post(learner+"/care", url.Values{"rev": {"0"}, "asked": {"yes"}, "allergy": {"canary-note"}, "stop_signs": {"canary-signs"}}).leads(learner)
	b.post(learner+"/care", url.Values{"rev": {"0"}, "asked": {"yes"}, "allergy": {"canary-note"}, "stop_signs": {"canary-signs"}}).want(http.StatusConflict)
	b.post(learner+"/consents", url.Values{"kind": {"teaching"}, "given_on": {"2026-03-01"}, "given_by": {"canary-consent"}}).leads(learner + "/consents")
	b.post(learner+"/consents", url.Values{"kind": {"teaching"}, "given_on": {"2026-03-01"}, "given_by": {"canary-consent"}}).want(http.StatusUnprocessableEntity)
	for _, path := range []string{family, learner, learner + "/care", learner + "/consents", "/families", "/canary-note?canary-signs=canary-child"} {
		b.get(path)
	}
	admin.post("/people/new", url.Values{"name": {"canary-staff"}, "email": {"canary-new@stair.example"}, "capacities": {"office"}}).want(http.StatusOK)
	admin.post("/people/new", url.Values{"name": {"canary-staff"}, "email": {"canary-new@stair.example"}, "capacities": {"office"}}).want(http.StatusUnprocessableEntity)
	s.anybody().post("/sign-in", url.Values{"email": {"canary-admin@stair.example"}, "password": {goodPassword}}).leads("/")
	s.anybody().post("/sign-in", url.Values{"email": {"canary-wrong@stair.example"}, "password": {"canary pass phrase wrong"}}).want(http.StatusUnprocessableEntity)
	link := s.invite(s.Home.Other)
	phone := s.anybody()
	phone.post(link, nil).leads("/today")
	phone.get(link)
	for _, token := range phone.cookies {
		canaries = append(canaries, token)
	}
	for _, token := range b.cookies {
		canaries = append(canaries, token)
	}
	canaries = append(canaries, strings.TrimPrefix(link, "/join/"))
	// The database breaks in the middle: its messages stay out of the log as
	// well.
	s.DB.Bypass.Exec(t.Context(), `alter table consent rename to consent_gone`)
	b.get(learner + "/consents").want(http.StatusInternalServerError).check()
	b.post(learner+"/consents", url.Values{"kind": {"recording"}, "given_on": {"2026-03-01"}, "given_by": {"canary-consent"}}).want(http.StatusInternalServerError)

	logged := s.logs.String()
	if !strings.Contains(logged, `"route":"/learners/{learner}/consents"`) || !strings.Contains(logged, "request failed") {
		t.Fatal("the log is empty, so the test proves nothing")
	}
	for _, canary := range canaries {
		if strings.Contains(logged, canary) {
			t.Errorf("the log holds %q", canary)
		}
	}
}

func TestDatabaseFailureIsNotUnauthorized(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	phone := s.as(s.Home.Caregiver)
	if _, err := s.DB.Bypass.Exec(t.Context(), `alter table device rename to device_gone`); err != nil {
		t.Fatal(err)
	}
	// Not 401, because the phone would forget its person.
	phone.get("/").want(http.StatusInternalServerError).check()
}

func TestEveryRouteNeedsSomething(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	for _, route := range s.server.Routes() {
		if route.Public == (route.Needs != "") {
			t.Errorf("%s %s: public %v, needs %q", route.Method, route.Pattern, route.Public, route.Needs)
		}
		if route.Needs != "" && !isPermission(route.Needs) {
			t.Errorf("%s %s needs %q, which no one has", route.Method, route.Pattern, route.Needs)
		}
	}
}

func isPermission(p newel.Permission) bool {
	for _, c := range newel.Capacities {
		if c.Allows(p) {
			return true
		}
	}
	return false
}
