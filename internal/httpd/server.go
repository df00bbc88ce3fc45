// Package httpd is Newel over HTTP: routes, sign-ins, forms in, pages out,
// errors to statuses. Handlers decode, call one method of app and render.
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

// Server answers requests. It keeps nothing between them: sign-ins live in
// the database.
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
}

// Options are what a Server needs.
type Options struct {
	App      *app.App
	Store    scs.Store // where sign-ins are kept
	Messages *message.Catalogue
	Log      *slog.Logger
	Base     *url.URL // how the outside reaches this server
	Schema   int64    // the database schema wanted, for /readyz
	Demo     *Demo    // nil outside of the demo clinic
	Assets   Assets   // the built client files; nil in tests that need none
	Now      func() time.Time
	Proxies  []string // networks of the proxies in front, whose word on addresses counts

	// WorkerOff serves, in place of the service worker, one that takes itself
	// off the phone.
	WorkerOff bool

	Hub  *live.Hub     // where changes are told; nil: nobody is told of any
	Beat time.Duration // between looks at who watches; 0: as usual
}

// New makes a Server.
func New(o Options) *Server {
	if o.Hub == nil {
		o.Hub = live.New()
	}
	if o.Beat == 0 {
		o.Beat = beatEvery
	}
	return &Server{
		app: o.App, sessions: newSessions(o.Store, o.Base), messages: o.Messages, log: o.Log,
		base: o.Base, schema: o.Schema, demo: o.Demo, built: o.Assets, now: o.Now, proxies: o.Proxies, noWorker: o.WorkerOff,
		hub: o.Hub, beat: o.Beat,
	}
}

// Handler gives the whole site.
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
