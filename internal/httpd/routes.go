package httpd

import (
	"net/http"
	"slices"

	"newel/internal/newel"
)

// A handlerFunc does one request; its error becomes a status and a page.
type handlerFunc func(w http.ResponseWriter, r *http.Request) error

// Route is one line of the site's table of routes. The table is data: the
// tests of who may go where are generated from it.
type Route struct {
	Method  string
	Pattern string
	// Needs is the permission of the page. A route without one is Public.
	Needs  newel.Permission
	Public bool
	// Guess marks routes where secrets could be guessed: they are rate-limited
	// far more strictly.
	Guess bool
	// MaxBody is how many bytes a request may bring; 0: as many as a form.
	MaxBody int64
	Handle  handlerFunc
}

// Routes lists every page and deed of the site.
func (s *Server) Routes() []Route {
	return slices.Concat(
		s.signInRoutes(),
		s.peopleRoutes(),
		s.libraryRoutes(),
		s.skillRoutes(),
		s.helpScaleRoutes(),
		s.programRoutes(),
		s.pictureRoutes(),
		s.versionRoutes(),
		s.readingRoutes(),
		s.teachingRoutes(),
		s.liveRoutes(),
		s.decisionRoutes(),
		s.fidelityRoutes(),
		s.reviewRoutes(),
		s.messageRoutes(),
		s.incidentRoutes(),
		s.caregiverRoutes(),
		s.recordingRoutes(),
		s.phoneRoutes(),
		s.demoRoutes(),
	)
}

// serve checks that somebody with the permission is signed in, before the
// handler runs. (app checks again, with the thing itself in hand.)
func (s *Server) serve(route Route) http.Handler {
	return s.adapt(func(w http.ResponseWriter, r *http.Request) error {
		if !route.Public {
			actor, ok := actorOf(r)
			if !ok {
				return newel.ErrUnauthenticated
			}
			if err := actor.Require(route.Needs); err != nil {
				return err
			}
		}
		return route.Handle(w, r)
	})
}
