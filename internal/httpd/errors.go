package httpd

import (
	"errors"
	"fmt"
	"net/http"
	"runtime/debug"

	"newel/internal/newel"
)

// statuses maps kinds of errors to HTTP statuses. All others are 500.
var statuses = []struct {
	kind   error
	status int
	key    string // catalogue key of the message
}{
	{newel.ErrUnauthenticated, http.StatusUnauthorized, "error.sign_in"},
	{newel.ErrForbidden, http.StatusForbidden, "error.forbidden"},
	{newel.ErrNotFound, http.StatusNotFound, "error.not_found"},
	{newel.ErrGone, http.StatusGone, "error.gone"},
	{newel.ErrConflict, http.StatusConflict, "error.conflict"},
	{newel.ErrBusy, http.StatusServiceUnavailable, "error.busy"},
	{errTooLarge, http.StatusRequestEntityTooLarge, "error.too_large"},
	{errTooMany, http.StatusTooManyRequests, "error.too_many"},
	{errMethod, http.StatusMethodNotAllowed, "error.not_found"},
	{errForeign, http.StatusForbidden, "error.foreign"},
}

var (
	errTooLarge = errors.New("request body too large")
	errTooMany  = errors.New("too many requests")
	errMethod   = errors.New("method not allowed")
	errForeign  = errors.New("sent by another site")
)

func statusOf(err error) (int, string) {
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		err = errTooLarge
	}
	var invalid *newel.Invalid
	if errors.As(err, &invalid) {
		return http.StatusUnprocessableEntity, "error.invalid"
	}
	for _, s := range statuses {
		if errors.Is(err, s.kind) {
			return s.status, s.key
		}
	}
	return http.StatusInternalServerError, "error.internal"
}

// adapt turns a handler's error into a response. The error's text never reaches
// the browser. Unexpected errors are logged, with ids only.
func (s *Server) adapt(h handlerFunc) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		err := h(w, r)
		if err == nil {
			return
		}
		status, key := statusOf(err)
		if status == http.StatusInternalServerError {
			s.log.ErrorContext(r.Context(), "request failed", "error", err, "request", requestID(r))
		}
		s.fail(w, r, status, key)
	})
}

func notFound(http.ResponseWriter, *http.Request) error { return newel.ErrNotFound }

func methodNotAllowed(http.ResponseWriter, *http.Request) error { return errMethod }

// recoverPanics answers 500 and keeps the process alive. It panics again on
// http.ErrAbortHandler, as net/http requires.
func (s *Server) recoverPanics(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			v := recover()
			if v == nil {
				return
			}
			if v == http.ErrAbortHandler {
				panic(v)
			}
			s.log.ErrorContext(r.Context(), "panic", "error", fmt.Sprint(v), "request", requestID(r), "stack", string(debug.Stack()))
			s.fail(w, r, http.StatusInternalServerError, "error.internal")
		}()
		next.ServeHTTP(w, r)
	})
}
