package httpd

import (
	"errors"
	"fmt"
	"io"
	"net/http"

	"newel/internal/app"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

// readForm parses a submitted form and its token.
func readForm(r *http.Request) (sent, error) {
	if err := r.ParseForm(); err != nil {
		return sent{}, unreadable(err)
	}
	token, err := app.ParseForm(r.PostForm.Get(view.FormTokenName))
	return sent{Values: r.PostForm, token: token}, err
}

// readUpload parses a form with an optional file, and its token. It holds up to
// memory bytes of the form in memory, and reads at most one byte of the file
// beyond the limit.
func readUpload(r *http.Request, name string, memory, limit int64) (f sent, file []byte, err error) {
	if err := r.ParseMultipartForm(memory); err != nil && !errors.Is(err, http.ErrNotMultipart) {
		return sent{}, nil, unreadable(err)
	}
	f, err = readForm(r)
	if upload, _, missing := r.FormFile(name); missing == nil {
		defer upload.Close()
		file, _ = io.ReadAll(io.LimitReader(upload, limit+1)) // the file's reader rejects a truncated file
	}
	return f, file, err
}

// unreadable returns errTooLarge for a form that is too long, and an Invalid
// for any other malformed one.
func unreadable(err error) error {
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return err
	}
	invalid := &newel.Invalid{}
	invalid.Add("form", "form.unreadable")
	return fmt.Errorf("%w (%w)", invalid, err)
}

// problemTexts returns a message for each invalid field, if that is what err
// reports. Only the first problem of a field is shown.
func problemTexts(p *message.Printer, err error) (map[string]string, bool) {
	var invalid *newel.Invalid
	if !errors.As(err, &invalid) {
		return nil, false
	}
	texts := make(map[string]string, len(invalid.Problems))
	for _, problem := range invalid.Problems {
		if _, told := texts[problem.Field]; !told {
			texts[problem.Field] = p.Problem(problem)
		}
	}
	return texts, true
}

// pathID parses an id from the path. An invalid id is not found.
func pathID[I newel.ID[K], K any](r *http.Request, name string) (I, error) {
	return newel.ParseID[I, K](r.PathValue(name))
}

// formState returns a form to be rendered, with a new token.
func (s *Server) formState(r *http.Request, action string, f sent) view.FormState {
	return say.Form(s.printer(r), action, f.Values, f.problems)
}

// answer completes a submitted form: it redirects after success, or shows the
// form again with its errors.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, to string, err error, again func(problems map[string]string) error) error {
	if problems, ok := problemTexts(s.printer(r), err); ok {
		return again(problems)
	}
	if err != nil {
		return err
	}
	return see(w, r, to)
}
