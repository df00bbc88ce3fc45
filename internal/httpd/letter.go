package httpd

import (
	"errors"
	"io"
	"mime"
	"net/http"

	"newel/internal/app"
	"newel/internal/letter"
	"newel/internal/newel"
	"newel/internal/recording"
	"newel/internal/strict"
)

// putLetter accepts what a caregiver wrote on a phone, even if it arrives late,
// and answers with a receipt or with a problem as JSON.
func (s *Server) putLetter(w http.ResponseWriter, r *http.Request, id newel.LetterID) error {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	sealed := kind == recording.SealedMediaType
	if err != nil || kind != letter.MediaType && !sealed {
		return problem(w, http.StatusUnsupportedMediaType, phoneProblem{Error: "media_type", Problem: "send " + letter.MediaType + " or " + recording.SealedMediaType})
	}
	if r.ContentLength > letter.MaxBody && !sealed {
		return errTooLarge // before any of it is read
	}
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return err
	}
	receipt, err := s.app.StoreLetter(r.Context(), mustActor(r), app.LetterIn{ID: id, Body: body, Sealed: sealed})
	if p, ok := s.letterRefused(r, err); ok {
		return problem(w, p.status, p.phoneProblem)
	}
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, letter.ReceiptMediaType, receipt)
}

// letterRefused returns what is wrong with the letter itself, if that is what
// err is about. What its form would refuse is in the reader's language.
func (s *Server) letterRefused(r *http.Request, err error) (refusal, bool) {
	var (
		form  *newel.Invalid
		wrong *strict.Error
	)
	switch {
	case errors.As(err, &form):
		first := form.Problems[0]
		return refusal{http.StatusUnprocessableEntity, phoneProblem{Error: "invalid", Path: "fields." + first.Field, Problem: s.printer(r).Problem(first)}}, true
	case errors.As(err, &wrong):
		return refusal{http.StatusUnprocessableEntity, phoneProblem{Error: "invalid", Path: wrong.Path, Problem: wrong.Err.Error()}}, true
	}
	return refused(err)
}
