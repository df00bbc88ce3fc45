package httpd

import (
	"net/http"
	"slices"

	"newel/internal/newel"
)

// A handlerFunc handles one request; its error becomes a status and a page.
type handlerFunc func(w http.ResponseWriter, r *http.Request) error

// Route is one entry in the table of routes. The table is data, so that access
// tests can be generated from it.
type Route struct {
	Method  string
	Pattern string
	// Needs is the permission of the page. A route without one is Public.
	Needs  newel.Permission
	Public bool
	// Guess marks routes on which secrets could be guessed; they have much
	// stricter rate limits.
	Guess bool
	// MaxBody is the maximum size of a request body in bytes; 0 for the limit
	// of forms.
	MaxBody int64
	// Phone marks routes that the phone's script requests: failures are JSON.
	Phone  bool
	Handle handlerFunc
}

// Routes lists all routes of the site.
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

// serve checks that the actor has the permission before the handler runs. (app
// checks again, against the data itself.)
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
