// Package httpd serves Newel over HTTP: routes, sign-ins, forms, pages, and
// errors as statuses. Handlers decode the request, call one method of app and
// render the result.
package httpd

import (
	"log/slog"
	"net/http"
	"net/url"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/live"
	"newel/internal/message"
)

// Server handles requests. It keeps no state between them: sign-ins are in the
// database.
type Server struct {
	app      *app.App
	sessions *scs.SessionManager
	messages *message.Catalogue
	log      *slog.Logger
	base     *url.URL
	schema   int64
	demo     *Demo
	built    Assets
	now      func() time.Time
	proxies  []string
	noWorker bool
	hub      *live.Hub
	beat     time.Duration
	phones   map[string]bool // Route.Phone by method and pattern
}

// Options configures a Server.
type Options struct {
	App      *app.App
	Store    scs.Store // storage for sign-ins
	Messages *message.Catalogue
	Log      *slog.Logger
	Base     *url.URL // public URL of this server
	Schema   int64    // required schema version, for /readyz
	Demo     *Demo    // nil outside the demo clinic
	Assets   Assets   // the built client files; nil in tests that need none
	Now      func() time.Time
	Proxies  []string // networks of trusted proxies, whose client addresses count

	// WorkerOff replaces the service worker with one that removes itself from
	// phones.
	WorkerOff bool

	Hub  *live.Hub     // distributes change notifications; nil for none
	Beat time.Duration // interval of watcher checks; 0 for the default
}

// New returns a Server.
func New(o Options) *Server {
	if o.Hub == nil {
		o.Hub = live.New()
	}
	if o.Beat == 0 {
		o.Beat = beatEvery
	}
	s := &Server{
		app: o.App, sessions: newSessions(o.Store, o.Base), messages: o.Messages, log: o.Log,
		base: o.Base, schema: o.Schema, demo: o.Demo, built: o.Assets, now: o.Now, proxies: o.Proxies, noWorker: o.WorkerOff,
		hub: o.Hub, beat: o.Beat, phones: map[string]bool{},
	}
	for _, route := range s.Routes() {
		s.phones[route.Method+" "+route.Pattern] = route.Phone
	}
	return s
}

// Handler returns the handler of the whole site.
func (s *Server) Handler() http.Handler {
	r := chi.NewRouter()
	r.Use(middleware.RequestID, middleware.ClientIPFromRemoteAddr, clientBehind(s.proxies), s.logRequests, s.recoverPanics, secureHeaders(s.base), s.crossOrigin())
	r.Get(href.Healthz, s.healthz)
	r.Get(href.Readyz, s.readyz)
	r.Handle(href.Assets, s.assets())
	r.Group(func(r chi.Router) {
		r.Use(compress, s.loadSignIn, s.authenticate)
		for _, route := range s.Routes() {
			r.With(route.limits(s)...).Method(route.Method, route.Pattern, s.serve(route))
		}
		r.NotFound(s.adapt(notFound).ServeHTTP)
		r.MethodNotAllowed(s.adapt(methodNotAllowed).ServeHTTP)
	})
	return r
}
