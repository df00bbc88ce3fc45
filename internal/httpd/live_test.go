package httpd

import (
	"bufio"
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/live"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// process is one of several processes that serve the same clinic on one
// database.
type process struct {
	*Server
	hub *live.Hub
	url string
	end func()
}

// process starts another process on the site's database and sign-ins.
func (s *site) process(t testing.TB) *process {
	t.Helper()
	hub := live.New()
	p := &process{hub: hub, Server: New(Options{
		App: app.New(s.store, s.server.log, s.clock.Now), Store: s.server.sessions.Store, Messages: s.server.messages, Log: s.server.log,
		Base: s.server.base, Schema: s.server.schema, Now: s.clock.Now, Hub: hub, Beat: 10 * time.Millisecond,
	})}
	ctx, cancel := context.WithCancel(context.Background())
	connected, ended := make(chan struct{}, 100), make(chan struct{})
	go func() {
		defer close(ended)
		s.store.Listen(ctx, postgres.Hearing{
			Told: func(payload string) {
				c, err := live.ParseChange(payload)
				if err != nil {
					t.Errorf("told %q: %v", payload, err)
				}
				hub.Publish(c)
			},
			Missed: func() { hub.Missed(); connected <- struct{}{} },
			Lost:   func(error) {},
		})
	}()
	<-connected
	server := httptest.NewServer(p.Handler())
	p.url = server.URL
	p.end = func() { hub.Close(); server.Close(); cancel(); <-ended }
	t.Cleanup(p.end)
	return p
}

// watch opens an event stream as the browser's person. It returns the received
// lines; the channel closes with the stream.
func (p *process) watch(t testing.TB, b *browser, path string) (int, <-chan string) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, p.url+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept", eventStream)
	for name, value := range b.cookies {
		r.AddCookie(&http.Cookie{Name: name, Value: value})
	}
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	events := make(chan string, 100)
	go func() {
		defer res.Body.Close()
		defer close(events)
		for lines := bufio.NewScanner(res.Body); lines.Scan(); {
			if name, is := strings.CutPrefix(lines.Text(), "event: "); is {
				events <- name
			}
		}
	}()
	return res.StatusCode, events
}

// wants waits for an event. The test's time limit ends an endless wait.
func wants(t testing.TB, events <-chan string, want string) {
	t.Helper()
	if got, open := <-events; !open || got != want {
		t.Fatalf("heard %q (the stream is open: %v), want %q", got, open, want)
	}
}

// record stores a closed session through a process, as a phone would.
func (p *process) record(t testing.TB, s *site, id newel.PlacementID) {
	t.Helper()
	d := fixture.Session{House: s.Home.Household(id), Start: s.clock.Now().Add(-time.Hour), Marks: "aaaan"}.Document()
	if _, err := p.app.StoreRecording(t.Context(), s.Home.Caregiver, app.Delivered{ID: d.ID, Body: d.Encode()}); err != nil {
		t.Fatal(err)
	}
}

func TestOpenPagesFollowChangesByAnotherProcess(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(fixture.WashingHands(), "aaaan")
	one, two := s.process(t), s.process(t)
	supervisor := s.as(s.Supervisor)
	_, caseload := two.watch(t, supervisor, "/caseload/live")
	_, progress := two.watch(t, supervisor, "/placements/"+id.String()+"/live")
	neighbour := s.Account(t, "Nadia Orr", newel.Supervisor)
	s.LookAfter(t, &neighbour, s.NextDoor.ID)
	_, next := two.watch(t, s.as(neighbour), "/caseload/live")

	one.record(t, s, id)
	wants(t, caseload, "changed")
	wants(t, progress, "changed")

	// Decisions send an event as well.
	if _, err := one.app.Decide(t.Context(), s.Supervisor, app.NewForm(), id, app.DecisionInput{Kind: newel.DecisionSeen}); err != nil {
		t.Fatal(err)
	}
	wants(t, caseload, "changed")
	wants(t, progress, "changed")

	// The other family gets no event until everyone is told to reload.
	select {
	case event := <-next:
		t.Errorf("the other family received %q", event)
	default:
	}
	two.hub.Missed()
	wants(t, next, "changed")
}

func TestListenerReconnects(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(fixture.WashingHands(), "aaaan")
	p := s.process(t)
	_, events := p.watch(t, s.as(s.Supervisor), "/caseload/live")
	var cut int
	err := s.DB.App.QueryRow(t.Context(), `select count(pg_terminate_backend(pid)) from pg_stat_activity where datname = current_database() and application_name = $1`,
		postgres.Listener).Scan(&cut)
	if err != nil || cut != 1 {
		t.Fatalf("cut %d connections, %v", cut, err)
	}
	wants(t, events, "changed") // events may have been missed
	p.record(t, s, id)
	wants(t, events, "changed")
}

func TestStreamEndsWithTheServerAndReconnects(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(fixture.WashingHands(), "aaaan")
	supervisor := s.as(s.Supervisor)
	before := s.process(t)
	_, events := before.watch(t, supervisor, "/caseload/live")
	before.hub.Close()
	if event, open := <-events; open {
		t.Errorf("received %q from a stopping server", event)
	}
	if status, _ := before.watch(t, supervisor, "/caseload/live"); status != http.StatusServiceUnavailable {
		t.Errorf("a stopping server answers %d", status)
	}
	after := s.process(t)
	_, events = after.watch(t, supervisor, "/caseload/live")
	after.record(t, s, id)
	wants(t, events, "changed")
}

func TestStreamEndsWithTheSignIn(t *testing.T) {
	t.Parallel()
	for name, end := range map[string]func(s *site, b *browser){
		"signed out": func(_ *site, b *browser) { b.post("/sign-out", nil) },
		"switched off": func(s *site, _ *browser) {
			s.Exec(s.t, `update account set active = false where id = @id`, pgx.NamedArgs{"id": s.Supervisor.Account})
		},
		"off the caseload": func(s *site, _ *browser) {
			s.Exec(s.t, `delete from caseload where account_id = @id`, pgx.NamedArgs{"id": s.Supervisor.Account})
		},
		"password changed": func(s *site, _ *browser) {
			s.Exec(s.t, `insert into credential (clinic_id, account_id, sign_in_name, password_hash, epoch) values (@clinic, @id, 'x@example.org', '', 2)
				on conflict (clinic_id, account_id) do update set epoch = credential.epoch + 1`, pgx.NamedArgs{"clinic": s.Supervisor.Clinic, "id": s.Supervisor.Account})
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			id := s.taught(fixture.WashingHands(), "aaaan")
			b := s.as(s.Supervisor)
			_, events := s.process(t).watch(t, b, "/placements/"+id.String()+"/live")
			end(s, b)
			wants(t, events, "gone")
			if event, open := <-events; open {
				t.Errorf("and then %q", event)
			}
		})
	}
}

func TestUnauthorizedWatching(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(fixture.WashingHands(), "aaaan")
	p := s.process(t)
	neighbour := s.Account(t, "Nadia Orr", newel.Supervisor)
	s.LookAfter(t, &neighbour, s.NextDoor.ID)
	path := "/placements/" + id.String() + "/live"
	for want, b := range map[int]*browser{
		http.StatusUnauthorized: s.anybody(), http.StatusNotFound: s.as(neighbour), http.StatusForbidden: s.as(s.Home.Caregiver),
	} {
		if got, _ := p.watch(t, b, path); got != want {
			t.Errorf("status %d, want %d", got, want)
		}
	}
}

func TestWatchingDoesNotExtendASignIn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	b := s.as(s.Supervisor)
	for name, header := range map[string][2]string{"a page reloading itself": {watching, "1"}, "a person": {"Accept", "text/html"}} {
		r := httptest.NewRequest(http.MethodGet, "/caseload", nil)
		r.Header.Set(header[0], header[1])
		res := b.send(r)
		if res.status != http.StatusOK {
			t.Fatalf("%s: %d", name, res.status)
		}
		// The library sets the cookie again whenever it extends the sign-in.
		if extended := len(res.cookies) > 0; extended != (name == "a person") {
			t.Errorf("%s: extended is %v", name, extended)
		}
	}
}

func TestOnlyLivePagesNameTheirStream(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(fixture.WashingHands(), "aaaan")
	b := s.as(s.Supervisor)
	for path, want := range map[string]string{
		"/caseload": "/caseload/live", "/placements/" + id.String(): "/placements/" + id.String() + "/live", "/families": "",
	} {
		if got := b.get(path).attr("main", "data-live"); got != want {
			t.Errorf("%s listens at %q, want %q", path, got, want)
		}
	}
	form := with(b.get("/placements/"+id.String()).form("#decide-form"), "kind", "hold", "reason", " ")
	if got := b.post("/placements/"+id.String()+"/decide", form).want(http.StatusUnprocessableEntity).attr("main", "data-live"); got != "" {
		t.Errorf("a refused form would be replaced: %q", got)
	}
}

// A person with too many open pages is told so; the page then polls.
func TestTooManyOpenPages(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	p := s.process(t)
	supervisor := s.as(s.Supervisor)
	for range live.MaxPages {
		p.watch(t, supervisor, "/caseload/live")
	}
	status, events := p.watch(t, supervisor, "/caseload/live")
	wants(t, events, "full")
	if event, open := <-events; open || status != http.StatusOK {
		t.Errorf("status %d, and then %q", status, event)
	}
	_, lead := p.watch(t, s.as(s.Lead), "/caseload/live")
	p.hub.Missed()
	wants(t, lead, "changed")
}
