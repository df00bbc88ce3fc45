package httpd

import (
	"bytes"
	"context"
	"log/slog"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2/memstore"
	"golang.org/x/net/html"

	"newel/internal/account"
	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/postgres"
	"newel/internal/view"
	"newel/migrations"
)

// site is the whole server on its own database.
type site struct {
	*fixture.World
	t       testing.TB
	server  *Server
	handler http.Handler
	app     *app.App
	store   *postgres.DB
	hasher  *countingHasher
	logs    *logBuffer
	clock   *clock
}

// newSite returns a site with a small clinic.
func newSite(t testing.TB) *site {
	t.Helper()
	s := newBareSite(t, "http://newel.test")
	s.World = fixture.Clinic(t, s.DB)
	s.clock.Set(s.Now)
	return s
}

// newBareSite returns a site with an empty database.
func newBareSite(t testing.TB, base string) *site {
	t.Helper()
	messages, err := message.Load()
	if err != nil {
		t.Fatal(err)
	}
	u, err := url.Parse(base)
	if err != nil {
		t.Fatal(err)
	}
	s := &site{World: &fixture.World{DB: pgtest.New(t)}, t: t, logs: &logBuffer{}, clock: &clock{now: time.Date(2026, 3, 12, 9, 30, 0, 0, time.UTC)}}
	log := slog.New(slog.NewJSONHandler(s.logs, &slog.HandlerOptions{Level: slog.LevelDebug}))
	s.store = postgres.FromPool(s.DB.App, s.clock.Now)
	s.hasher = &countingHasher{Hasher: account.NewHasher(account.DefaultCost)}
	s.app = app.New(s.store, log, s.clock.Now).WithHasher(s.hasher)
	s.server = New(Options{
		App: s.app, Store: memstore.NewWithCleanupInterval(0), Messages: messages, Log: log, Base: u,
		Schema: migrations.Latest(), Now: s.clock.Now,
	})
	s.handler = s.server.Handler()
	return s
}

// countingHasher counts how often passwords are hashed or checked.
type countingHasher struct {
	*account.Hasher
	runs atomic.Int64
}

func (h *countingHasher) Hash(ctx context.Context, password string) (string, error) {
	h.runs.Add(1)
	return h.Hasher.Hash(ctx, password)
}

func (h *countingHasher) Check(ctx context.Context, hash, password string) (ok, outdated bool, err error) {
	h.runs.Add(1)
	return h.Hasher.Check(ctx, hash, password)
}

// clock is a clock that a test sets.
type clock struct {
	mu  sync.Mutex
	now time.Time
}

func (c *clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *clock) Set(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = t
}

// logBuffer keeps everything that was logged.
type logBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *logBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *logBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// browser is one client with its cookies.
type browser struct {
	*site
	t       testing.TB
	cookies map[string]string
	address string
	agent   string
}

// anybody returns a browser without a sign-in.
func (s *site) anybody() *browser {
	return &browser{site: s, t: s.t, cookies: map[string]string{}, address: "192.0.2.7:4711", agent: "Mozilla/5.0 (Linux; Android 14) Chrome/120.0 Mobile"}
}

// as returns a browser in which the actor is signed in: staff by a sign-in,
// caregivers by a linked browser.
func (s *site) as(actor newel.Actor) *browser {
	s.t.Helper()
	b := s.anybody()
	if !actor.IsStaff() {
		token := account.NewToken()
		s.Device(s.t, actor, account.TokenHash(token))
		b.cookies[cookieName(s.server.base, "device")] = token
		return b
	}
	ctx, err := s.server.sessions.Load(context.Background(), "")
	if err != nil {
		s.t.Fatal(err)
	}
	var epoch int
	err = s.DB.Bypass.QueryRow(ctx, `select coalesce(max(epoch), 0) from credential where account_id = $1`, actor.Account).Scan(&epoch)
	if err != nil {
		s.t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodGet, "/", nil).WithContext(ctx)
	if err := s.server.signIn(r, app.SignIn{Clinic: actor.Clinic, Account: actor.Account, Epoch: epoch}); err != nil {
		s.t.Fatal(err)
	}
	token, _, err := s.server.sessions.Commit(ctx)
	if err != nil {
		s.t.Fatal(err)
	}
	b.cookies[s.server.sessions.Cookie.Name] = token
	return b
}

// reply is the site's answer.
type reply struct {
	t        testing.TB
	status   int
	header   http.Header
	body     string
	location string
	cookies  []*http.Cookie
}

// get loads a page as a browser does.
func (b *browser) get(path string) *reply {
	b.t.Helper()
	return b.send(httptest.NewRequest(http.MethodGet, path, nil))
}

// post sends a form with a new token, unless the values include one.
func (b *browser) post(path string, values url.Values) *reply {
	b.t.Helper()
	form := url.Values{view.FormTokenName: {app.NewForm().Token.String()}}
	for key, value := range values {
		form[key] = value
	}
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return b.send(r)
}

// tab is a further tab of this browser. It begins with the same cookies and
// keeps its own from then on, so that tabs can send at the same time.
func (b *browser) tab() *browser {
	t := *b
	t.cookies = maps.Clone(b.cookies)
	return &t
}

func (b *browser) send(r *http.Request) *reply {
	b.t.Helper()
	r.RemoteAddr = b.address
	r.Header.Set("User-Agent", b.agent)
	if r.Header.Get("Accept") == "" {
		r.Header.Set("Accept", "text/html,application/xhtml+xml")
	}
	for name, value := range b.cookies {
		r.AddCookie(&http.Cookie{Name: name, Value: value})
	}
	w := httptest.NewRecorder()
	b.handler.ServeHTTP(w, r)
	res := w.Result()
	for _, c := range res.Cookies() {
		if c.MaxAge < 0 || c.Value == "" {
			delete(b.cookies, c.Name)
		} else {
			b.cookies[c.Name] = c.Value
		}
	}
	return &reply{t: b.t, status: res.StatusCode, header: res.Header, body: w.Body.String(), location: res.Header.Get("Location"), cookies: res.Cookies()}
}

// want fails the test unless the answer has this status.
func (p *reply) want(status int) *reply {
	p.t.Helper()
	if p.status != status {
		p.t.Fatalf("status %d, want %d; location %q; %s", p.status, status, p.location, p.text("main"))
	}
	return p
}

// leads fails the test unless the answer redirects to this path.
func (p *reply) leads(location string) *reply {
	p.t.Helper()
	p.want(http.StatusSeeOther)
	if p.location != location {
		p.t.Fatalf("redirects to %q, want %q", p.location, location)
	}
	return p
}

// check applies checkers to the page, and the rules for every page.
func (p *reply) check(checkers ...htmlcheck.Checker) *reply {
	p.t.Helper()
	all := append([]htmlcheck.Checker{htmlcheck.Page}, checkers...)
	if err := htmlcheck.Run(strings.NewReader(p.body), all...); err != nil {
		p.t.Errorf("page: %v", err)
	}
	return p
}

// text returns the text of the first element that matches, or "".
func (p *reply) text(selector string) string {
	var found string
	_ = htmlcheck.Run(strings.NewReader(p.body), htmlcheck.In(selector, func(n *html.Node) error {
		found = htmlcheck.Text(n)
		return nil
	}))
	return found
}

// attr returns an attribute of the first element that matches, or "".
func (p *reply) attr(selector, name string) string {
	var found string
	_ = htmlcheck.Run(strings.NewReader(p.body), htmlcheck.In(selector, func(n *html.Node) error {
		found, _ = htmlcheck.Attr(n, name)
		return nil
	}))
	return found
}

// error returns the message at a field of a refused form.
func (p *reply) error(field string) string {
	p.t.Helper()
	p.want(http.StatusUnprocessableEntity).check(htmlcheck.In(".problems"))
	return p.text("#f-" + field + "-error")
}

// count returns the single number of a query, bypassing every policy.
func (s *site) count(query string, args ...any) int {
	s.t.Helper()
	var n int
	if err := s.DB.Bypass.QueryRow(context.Background(), query, args...).Scan(&n); err != nil {
		s.t.Fatal(err)
	}
	return n
}
