package httpd

import (
	"cmp"
	"net/http"
	"net/url"
	"time"

	"github.com/go-chi/chi/v5/middleware"
	"github.com/go-chi/httprate"
)

// contentSecurityPolicy allows only what this server itself sends. There is
// no inline script or style anywhere, so it needs neither nonce nor hash.
// blob: pictures of kits, which a phone shows from its person's own store.
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
			// same-origin and not no-referrer: with the latter browsers send
			// "Origin: null" with forms, which cross-origin protection refuses.
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

// crossOrigin refuses deeds that another site's page sends in the name of
// somebody signed in here.
func (s *Server) crossOrigin() func(http.Handler) http.Handler {
	protection := http.NewCrossOriginProtection()
	// Behind a proxy the Host header may differ from the public name.
	_ = protection.AddTrustedOrigin(s.base.Scheme + "://" + s.base.Host)
	protection.SetDenyHandler(s.adapt(func(http.ResponseWriter, *http.Request) error { return errForeign }))
	return protection.Handler
}

// maxForm bounds forms: the longest program fits many times over.
const maxForm = 2 << 20

// limitBody bounds what a request may bring.
func (route Route) limitBody(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, cmp.Or(route.MaxBody, maxForm))
		next.ServeHTTP(w, r)
	})
}

// Rates a minute and client address. A family behind one address with three
// phones stays far below; somebody guessing does not.
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

// clientBehind finds the client's address behind trusted proxies; without any
// it stays that of the connection.
func clientBehind(proxies []string) func(http.Handler) http.Handler {
	if len(proxies) == 0 {
		return func(next http.Handler) http.Handler { return next }
	}
	return middleware.ClientIPFromXFF(proxies...)
}

func clientKey(r *http.Request) (string, error) { return middleware.GetClientIP(r.Context()), nil }

// logRequests writes one line a request: method, pattern, status, duration.
// The pattern and not the path: ids and tokens stay out of the log.
func (s *Server) logRequests(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		start := time.Now()
		ww := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
		next.ServeHTTP(ww, r)
		s.log.InfoContext(r.Context(), "request", "method", r.Method, "route", routePattern(r), "status", ww.Status(),
			"bytes", ww.BytesWritten(), "ms", time.Since(start).Milliseconds(), "request", requestID(r))
	})
}
