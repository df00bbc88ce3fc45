package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/newel"
)

// sent is a form: the typed values, its token and its errors. The zero value is
// a form that no one has filled in yet.
type sent struct {
	url.Values // nil if not filled in
	token      app.Form
	problems   map[string]string // messages by field; nil if there are none
}

// status returns the status of a page that shows the form.
func (f sent) status() int {
	if f.problems != nil {
		return http.StatusUnprocessableEntity
	}
	return http.StatusOK
}

// The adapters below turn handlers with other signatures into a handlerFunc.
// Those ending in At parse the id that the route's pattern calls by that name.

// at returns the handler of a page about one thing.
func at[I newel.ID[K], K any](name string, show func(http.ResponseWriter, *http.Request, I) error) handlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		id, err := pathID[I, K](r, name)
		if err != nil {
			return err
		}
		return show(w, r, id)
	}
}

// form returns the handler of a page with an empty form.
func form(show func(http.ResponseWriter, *http.Request, sent) error) handlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error { return show(w, r, sent{}) }
}

func formAt[I newel.ID[K], K any](name string, show func(http.ResponseWriter, *http.Request, I, sent) error) handlerFunc {
	return at[I, K](name, func(w http.ResponseWriter, r *http.Request, id I) error { return show(w, r, id, sent{}) })
}

// post returns the handler of a submitted form. do returns the address to
// redirect to. If it returns newel.Invalid, show shows the page again with what
// was typed and the errors. A form that is only a button has no show.
func (s *Server) post(do func(*http.Request, sent) (string, error), show func(http.ResponseWriter, *http.Request, sent) error) handlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		f, err := readForm(r)
		to := ""
		if err == nil {
			to, err = do(r, f)
		}
		if show == nil && err != nil {
			return err
		}
		return s.answer(w, r, to, err, func(problems map[string]string) error {
			f.problems = problems
			return show(w, r, f)
		})
	}
}

func postAt[I newel.ID[K], K any](
	s *Server, name string, do func(*http.Request, I, sent) (string, error), show func(http.ResponseWriter, *http.Request, I, sent) error,
) handlerFunc {
	return at[I, K](name, func(w http.ResponseWriter, r *http.Request, id I) error {
		var again func(http.ResponseWriter, *http.Request, sent) error
		if show != nil {
			again = func(w http.ResponseWriter, r *http.Request, f sent) error { return show(w, r, id, f) }
		}
		return s.post(func(r *http.Request, f sent) (string, error) { return do(r, id, f) }, again)(w, r)
	})
}
