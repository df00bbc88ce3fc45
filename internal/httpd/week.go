package httpd

import (
	"net/http"

	"github.com/a-h/templ"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

// learnerWeek returns the part of a learner's page about the last days.
func (s *Server) learnerWeek(r *http.Request, id newel.LearnerID, programs []app.LearnerProgram) (templ.Component, error) {
	w, err := s.app.LearnerWeek(r.Context(), mustActor(r), id)
	if err != nil {
		return nil, err
	}
	return view.LearnerWeek(say.WeekPart(s.printer(r), w, programs)), nil
}
