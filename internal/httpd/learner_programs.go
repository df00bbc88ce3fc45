package httpd

import (
	"net/http"

	"github.com/a-h/templ"

	"newel/internal/app"
)

// learnerPrograms is the part of a learner's page about what is taught; nil
// leaves it out.
func (s *Server) learnerPrograms(_ *http.Request, _ app.LearnerPage) (templ.Component, error) {
	return nil, nil
}
