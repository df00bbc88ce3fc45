package httpd

import (
	"net/http"

	"newel/internal/href"
)

// Assets are the built client files: their paths, and a handler that serves
// them.
type Assets interface {
	Asset(name string) string
	Handler() http.Handler
	// Root returns a file that keeps its plain name at the root of the site, as
	// browsers require for a service worker.
	Root(name string) (body []byte, ok bool)
}

// asset returns the path of a built file. Without built files, pages work
// unstyled.
func (s *Server) asset(name string) string {
	if s.built == nil {
		return href.Asset(name)
	}
	return s.built.Asset(name)
}

func (s *Server) assets() http.Handler {
	if s.built == nil {
		return http.NotFoundHandler()
	}
	return s.built.Handler()
}

func (s *Server) root(name string) ([]byte, bool) {
	if s.built == nil {
		return nil, false
	}
	return s.built.Root(name)
}
