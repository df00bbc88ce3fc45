package httpd

import (
	"cmp"
	"net/http"
	"net/url"
	"time"

	"github.com/go-chi/chi/v5/middleware"
	"github.com/go-chi/httprate"
)

// contentSecurityPolicy allows only content from this server. There is no
// inline script or style, so it needs neither nonce nor hash. blob: is for the
// pictures of kits, which a phone shows from its person's own store.
const contentSecurityPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; " +
	"connect-src 'self'; font-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; " +
	"frame-ancestors 'none'; base-uri 'none'"

func secureHeaders(base *url.URL) func(http.Handler) http.Handler {
	return func(next http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			h := w.Header()
			h.Set("Content-Security-Policy", contentSecurityPolicy)
			h.Set("X-Content-Type-Options", "nosniff")
			h.Set("X-Frame-Options", "DENY")
			// same-origin and not no-referrer, because with the latter browsers
			// send "Origin: null" with forms, which cross-origin protection
			// rejects.
			h.Set("Referrer-Policy", "same-origin")
			h.Set("Cross-Origin-Opener-Policy", "same-origin")
			h.Set("Cross-Origin-Resource-Policy", "same-origin")
			h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=(), payment=()")
			h.Set("X-Robots-Tag", "noindex, nofollow")
			h.Set("Cache-Control", "no-store") // pages hold personal data; assets set their own
			if overHTTPS(base) {
				h.Set("Strict-Transport-Security", "max-age=31536000; includeSubDomains")
			}
			next.ServeHTTP(w, r)
		})
	}
}

// crossOrigin rejects unsafe requests that another site's page sends in the
// name of a signed-in person.
func (s *Server) crossOrigin() func(http.Handler) http.Handler {
	protection := http.NewCrossOriginProtection()
	// Behind a proxy the Host header may differ from the public name.
	_ = protection.AddTrustedOrigin(s.base.Scheme + "://" + s.base.Host)
	protection.SetDenyHandler(s.adapt(func(http.ResponseWriter, *http.Request) error { return errForeign }))
	return protection.Handler
}

// maxForm limits forms, in bytes: several times the longest program.
const maxForm = 2 << 20

// limitBody limits the size of request bodies.
func (route Route) limitBody(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, cmp.Or(route.MaxBody, maxForm))
		next.ServeHTTP(w, r)
	})
}

// Rates per minute and client address. A family with three phones behind one
// address stays far below; someone guessing does not.
const (
	ratePages = 600
	rateGuess = 20
)

func (route Route) limits(s *Server) []func(http.Handler) http.Handler {
	n := ratePages
	if route.Guess {
		n = rateGuess
	}
	deny := httprate.WithLimitHandler(s.adapt(func(http.ResponseWriter, *http.Request) error { return errTooMany }).ServeHTTP)
	return []func(http.Handler) http.Handler{route.limitBody, httprate.LimitBy(n, time.Minute, clientKey, deny)}
}

// clientBehind determines the client's address behind trusted proxies. Without
// proxies it is the connection's.
func clientBehind(proxies []string) func(http.Handler) http.Handler {
	if len(proxies) == 0 {
		return func(next http.Handler) http.Handler { return next }
	}
	return middleware.ClientIPFromXFF(proxies...)
}

func clientKey(r *http.Request) (string, error) { return middleware.GetClientIP(r.Context()), nil }

// logRequests logs one line per request: method, pattern, status, duration. It
// logs the pattern, not the path, to keep ids and tokens out of the log.
func (s *Server) logRequests(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		start := time.Now()
		ww := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
		next.ServeHTTP(ww, r)
		s.log.InfoContext(r.Context(), "request", "method", r.Method, "route", routePattern(r), "status", ww.Status(),
			"bytes", ww.BytesWritten(), "ms", time.Since(start).Milliseconds(), "request", requestID(r))
	})
}
