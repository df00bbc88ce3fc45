package httpd

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2/memstore"

	"newel/internal/app"
	"newel/internal/htmlcheck"
	"newel/internal/live"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
	"newel/internal/view"
	"newel/migrations"
)

// The tests in this file cover every route in the table: signed out, in every
// capacity, and as people who have the permission but do not reach this family.
// The permission matrix determines the expected results.

// reach says whose data a route is about.
type reach int

const (
	ofFamily reach = iota // data of a family
	ofClinic              // data of the clinic, outside families
	ofSelf                // no id: shows or adds the actor's own data
)

// probe is a way to try a route.
type probe struct {
	of reach
	// path fills the pattern's parameters with ids of the family.
	path map[string]func(tenants.Clinic, tenants.Family) string
	// form is what a browser would send, without its token.
	form func(tenants.Clinic, tenants.Family) url.Values
	// body returns what a phone would send, by the family's caregiver or by the
	// sender.
	body func(tenants.Clinic, tenants.Family, newel.AccountID) (string, string)
	// before prepares the database so that the request makes sense.
	before string
	// want is the expected status for authorized visitors; 0 means 200 for a
	// page and 303 for a form.
	want int
	// narrower lists capacities that have the route's permission but are
	// refused by the action itself, with the reason.
	narrower map[newel.Capacity]string
	// quiet says why someone out of reach gets a normal answer.
	quiet string
}

// house is a server on one database.
type house struct {
	*Server
	http.Handler
	db    *pgtest.DB
	world tenants.World
}

func newHouse(t *testing.T) *house {
	t.Helper()
	db, w := tenants.New(t)
	catalogue, err := message.Load()
	if err != nil {
		t.Fatal(err)
	}
	log := slog.New(slog.NewTextHandler(io.Discard, nil))
	now := func() time.Time { return tenants.Now }
	hub := live.New()
	hub.Close() // a stream would stay open for as long as the visitor may watch
	s := New(Options{
		Hub: hub,
		App: app.New(postgres.FromPool(db.App, now), log, now), Store: memstore.New(), Messages: catalogue, Log: log,
		Base: &url.URL{Scheme: "http", Host: "newel.example"}, Schema: migrations.Latest(), Now: now,
		Demo: &Demo{Key: "key", Clinic: w.Here.ID, Accounts: map[string]newel.AccountID{"supervisor": w.Here.Families[0].Supervisor}},
	})
	return &house{Server: s, Handler: s.Handler(), db: db, world: w}
}

// visitor is a person at the site.
type visitor struct {
	name     string
	clinic   newel.ClinicID
	account  newel.AccountID
	capacity newel.Capacity
	families []newel.FamilyID // nil for the whole clinic
	device   string           // the token of a linked browser
}

func caregiverOf(f tenants.Family, name string) visitor {
	return visitor{name, f.Clinic, f.Caregiver, newel.Caregiver, []newel.FamilyID{f.ID}, f.DeviceToken}
}

// visitors returns people of one clinic in every capacity, for one family.
func visitors(c tenants.Clinic, f tenants.Family, who string) []visitor {
	own := []newel.FamilyID{f.ID}
	return []visitor{
		{who + "administrator", c.ID, c.Administrator, newel.Administrator, nil, ""},
		{who + "lead", c.ID, c.Lead, newel.Lead, nil, ""},
		{who + "supervisor", c.ID, f.Supervisor, newel.Supervisor, own, ""},
		{who + "trainee", c.ID, f.Trainee, newel.Trainee, own, ""},
		{who + "office", c.ID, c.Office, newel.Office, nil, ""},
		caregiverOf(f, who+"caregiver"),
	}
}

// reaches reports whether the route's data are in the visitor's reach.
func (v visitor) reaches(p probe, f tenants.Family) bool {
	switch {
	case v.clinic != f.Clinic:
		return false
	case p.of == ofFamily:
		return v.families == nil || slices.Contains(v.families, f.ID)
	}
	return true
}

// lastAddress gives every request another client address, because rate limits
// depend on it.
var lastAddress atomic.Uint32

// send sends one request as the visitor; nil for no sign-in.
func (s *house) send(t *testing.T, v *visitor, method, path, kind, body string) *http.Response {
	t.Helper()
	r := httptest.NewRequestWithContext(t.Context(), method, "http://newel.example"+path, strings.NewReader(body))
	n := lastAddress.Add(1)
	r.RemoteAddr = fmt.Sprintf("10.%d.%d.%d:1234", byte(n>>16), byte(n>>8), byte(n))
	r.Header.Set("Accept", "text/html")
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	if v != nil {
		r.AddCookie(s.cookie(t, *v))
	}
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w.Result()
}

// cookie signs the visitor in; caregivers use a linked browser.
func (s *house) cookie(t *testing.T, v visitor) *http.Cookie {
	t.Helper()
	if v.device != "" {
		return &http.Cookie{Name: cookieName(s.base, "device"), Value: v.device}
	}
	ctx, err := s.sessions.Load(context.Background(), "")
	if err != nil {
		t.Fatal(err)
	}
	s.sessions.Put(ctx, keyClinic, v.clinic.String())
	s.sessions.Put(ctx, keyAccount, v.account.String())
	s.sessions.Put(ctx, keyEpoch, 1)
	token, _, err := s.sessions.Commit(ctx)
	if err != nil {
		t.Fatal(err)
	}
	return &http.Cookie{Name: s.sessions.Cookie.Name, Value: token}
}

// address fills in the pattern.
func (p probe) address(pattern string, c tenants.Clinic, f tenants.Family) string {
	for name, id := range p.path {
		pattern = strings.ReplaceAll(pattern, "{"+name+"}", id(c, f))
	}
	return pattern
}

const formKind = "application/x-www-form-urlencoded"

// do tries the route with the family's ids. An empty form has only its token.
func (p probe) do(t *testing.T, s *house, r Route, v *visitor, f tenants.Family, empty bool) (*http.Response, string) {
	t.Helper()
	c := s.world.Here
	kind, body := "", ""
	switch {
	case p.body != nil:
		author := f.Caregiver
		if v != nil {
			author = v.account
		}
		kind, body = p.body(c, f, author)
	case r.Method == http.MethodPost:
		values := url.Values{}
		if p.form != nil && !empty {
			values = p.form(c, f)
		}
		values.Set(view.FormTokenName, app.NewForm().Token.String())
		kind, body = formKind, values.Encode()
	}
	res := s.send(t, v, r.Method, p.address(r.Pattern, c, f), kind, body)
	page, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	wantStrict(t, r.Method+" "+r.Pattern, res, string(page))
	return res, string(page)
}

// strictHeaders lists the headers required on every answer. Sources: OWASP
// Secure Headers Project, from memory.
var strictHeaders = map[string]string{
	"X-Content-Type-Options":     "nosniff",
	"X-Frame-Options":            "DENY",
	"Referrer-Policy":            "same-origin",
	"Cross-Origin-Opener-Policy": "same-origin",
}

// wantStrict checks the strict headers of an answer, and every page's markup.
func wantStrict(t *testing.T, what string, res *http.Response, page string) {
	t.Helper()
	for name, want := range strictHeaders {
		if got := res.Header.Get(name); got != want {
			t.Errorf("%s: status %d, %s is %q, want %q", what, res.StatusCode, name, got, want)
		}
	}
	if got := res.Header.Get("Cache-Control"); !strings.Contains(got, "no-store") {
		t.Errorf("%s: status %d may be cached: %q", what, res.StatusCode, got)
	}
	csp := res.Header.Get("Content-Security-Policy")
	if !strings.HasPrefix(csp, "default-src 'none';") || strings.Contains(csp, "unsafe") {
		t.Errorf("%s: content security policy is %q", what, csp)
	}
	if strings.HasPrefix(res.Header.Get("Content-Type"), "text/html") && res.StatusCode != http.StatusSeeOther {
		if err := htmlcheck.Run(strings.NewReader(page), htmlcheck.NoInline, htmlcheck.Sound); err != nil {
			t.Errorf("%s: status %d: %v", what, res.StatusCode, err)
		}
	}
	if res.StatusCode == http.StatusInternalServerError {
		t.Errorf("%s: status 500", what)
	}
}

// routesOf pairs every route behind a permission with its probe.
func routesOf(t *testing.T, s *house) map[string]Route {
	t.Helper()
	all := map[string]Route{}
	for _, r := range s.Routes() {
		name := r.Method + " " + r.Pattern
		if all[name].Pattern != "" {
			t.Errorf("%s is listed twice", name)
		}
		all[name] = r
		if len(probes[name]) == 0 && !r.Public {
			t.Errorf("%s is not tested: add it to the table of probes", name)
		}
		if _, ok := openDoors[name]; r.Public && !ok {
			t.Errorf("%s is public: add the reason to openDoors", name)
		}
		if r.Public == (r.Needs != "") {
			t.Errorf("%s must be either public or behind a permission", name)
		}
	}
	for name := range probes {
		if all[name].Pattern == "" {
			t.Errorf("there is no route %s", name)
		}
	}
	return all
}
