package httpd

import (
	"bytes"
	"net/http"
	"strings"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"
)

// render writes a component as a page. It renders the whole page before
// writing, so that a failure still results in a proper error page.
func (s *Server) render(w http.ResponseWriter, r *http.Request, status int, c templ.Component) error {
	var buf bytes.Buffer
	if err := c.Render(r.Context(), &buf); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = buf.WriteTo(w) // the client may have disconnected
	return nil
}

// see redirects after a change, so that reloading does not repeat it.
func see(w http.ResponseWriter, r *http.Request, location string) error {
	http.Redirect(w, r, location, http.StatusSeeOther)
	return nil
}

func requestID(r *http.Request) string { return middleware.GetReqID(r.Context()) }

func routePattern(r *http.Request) string {
	if c := chi.RouteContext(r.Context()); c != nil && c.RoutePattern() != "" {
		return c.RoutePattern()
	}
	return "-"
}

// markup renders a part of a page for the script.
func markup(r *http.Request, c templ.Component) (string, error) {
	var b strings.Builder
	err := c.Render(r.Context(), &b)
	return b.String(), err
}
