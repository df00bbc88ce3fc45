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

// readForm parses a form that was sent and its token.
func readForm(r *http.Request) (sent, error) {
	if err := r.ParseForm(); err != nil {
		return sent{}, unreadable(err)
	}
	token, err := app.ParseForm(r.PostForm.Get(view.FormTokenName))
	return sent{Values: r.PostForm, token: token}, err
}

// readUpload parses a form that may bring a file, and its token. Of the form so
// much is held in memory; of the file, one byte more than the limit is read.
func readUpload(r *http.Request, name string, memory, limit int64) (f sent, file []byte, err error) {
	if err := r.ParseMultipartForm(memory); err != nil && !errors.Is(err, http.ErrNotMultipart) {
		return sent{}, nil, unreadable(err)
	}
	f, err = readForm(r)
	if upload, _, missing := r.FormFile(name); missing == nil {
		defer upload.Close()
		file, _ = io.ReadAll(io.LimitReader(upload, limit+1)) // half a file is refused by whoever reads it
	}
	return f, file, err
}

// unreadable is a form that is too long as it is, and else one that came in
// pieces.
func unreadable(err error) error {
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return err
	}
	invalid := &newel.Invalid{}
	invalid.Add("form", "form.unreadable")
	return fmt.Errorf("%w (%w)", invalid, err)
}

// problemTexts gives the sentence for each field that cannot be accepted,
// when that is what err says. Of several problems with a field the first is
// told.
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

// pathID reads an id from the path; one that is none is not found.
func pathID[I newel.ID[K], K any](r *http.Request, name string) (I, error) {
	return newel.ParseID[I, K](r.PathValue(name))
}

// formState is a form about to be rendered, with a fresh token.
func (s *Server) formState(r *http.Request, action string, f sent) view.FormState {
	return say.Form(s.printer(r), action, f.Values, f.problems)
}

// answer ends a form that was sent: on to where the deed leads, or back to
// the form with what is wrong.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, to string, err error, again func(problems map[string]string) error) error {
	if problems, ok := problemTexts(s.printer(r), err); ok {
		return again(problems)
	}
	if err != nil {
		return err
	}
	return see(w, r, to)
}
