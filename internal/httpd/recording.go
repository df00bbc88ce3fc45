package httpd

import (
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/recording"
)

func (s *Server) recordingRoutes() []Route {
	return []Route{
		// MaxSealed is larger than MaxBody, which is checked once the kind is known.
		{Method: http.MethodPut, Pattern: string(href.Recording), Needs: newel.RecordSession, MaxBody: recording.MaxSealed, Phone: true, Handle: at("recording", s.putRecording)},
		{Method: http.MethodGet, Pattern: string(href.Recording), Needs: newel.SeeLearner, Handle: formAt("recording", s.showSession)},
		{Method: http.MethodPost, Pattern: string(href.RecordingAmend), Needs: newel.AmendSession, Handle: postAt(s, "recording", s.amend, s.showSession)},
		{Method: http.MethodGet, Pattern: href.Quarantine, Needs: newel.SettleQuarantine, Handle: form(s.showQuarantine)},
		{Method: http.MethodPost, Pattern: string(href.QuarantineSettle), Needs: newel.SettleQuarantine, Handle: s.post(s.settle, s.showQuarantine)},
	}
}

// putRecording accepts a document from a phone and answers with a receipt or
// with a problem as JSON, never with a page: a phone trusts nothing but a
// receipt.
func (s *Server) putRecording(w http.ResponseWriter, r *http.Request, id newel.RecordingID) error {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	sealed, most := kind == recording.SealedMediaType, int64(recording.MaxBody)
	if sealed {
		most = recording.MaxSealed
	}
	if err != nil || kind != recording.MediaType && !sealed {
		return problem(w, http.StatusUnsupportedMediaType, phoneProblem{Error: "media_type", Problem: "send " + recording.MediaType + " or " + recording.SealedMediaType})
	}
	if r.ContentLength > most {
		return errTooLarge // before any of it is read
	}
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return err
	}
	sent, err := recording.ParseSent(r.Header.Get(recording.SentHeader))
	if err != nil {
		sent = recording.Sent{} // treat an invalid clock like a missing one
	}
	stored, err := s.app.StoreRecording(r.Context(), mustActor(r), app.Delivered{ID: id, Body: body, Sent: sent, Sealed: sealed})
	if p, ok := refused(err); ok {
		return problem(w, p.status, p.phoneProblem)
	}
	if err != nil {
		return err
	}
	status := http.StatusOK
	if stored.Created {
		status = http.StatusCreated
	}
	return writeJSON(w, status, recording.ReceiptMediaType, stored.Receipt)
}

// phoneProblem tells a phone why a document was not accepted.
type phoneProblem struct {
	Error   string `json:"error"`
	Path    string `json:"path,omitempty"` // the position in the document
	Problem string `json:"problem,omitempty"`
	Speaks  int    `json:"speaks,omitempty"` // the contract version of this server
}

type refusal struct {
	status int
	phoneProblem
}

// refused returns what is wrong with the document itself, if that is what err
// is about.
func refused(err error) (refusal, bool) {
	var (
		invalid  *recording.InvalidError
		contract *recording.ContractError
		large    *recording.TooLargeError
	)
	switch {
	case errors.As(err, &invalid):
		return refusal{http.StatusUnprocessableEntity, phoneProblem{Error: "invalid", Path: invalid.Path, Problem: invalid.Problem}}, true
	case errors.As(err, &contract):
		return refusal{http.StatusUnprocessableEntity, phoneProblem{Error: "contract", Problem: contract.Error(), Speaks: recording.Contract}}, true
	case errors.As(err, &large):
		return refusal{http.StatusRequestEntityTooLarge, phoneProblem{Error: "too_large", Problem: large.Error()}}, true
	}
	return refusal{}, false
}

func problem(w http.ResponseWriter, status int, p phoneProblem) error {
	return writeJSON(w, status, "application/json", p)
}

func writeJSON(w http.ResponseWriter, status int, kind string, v any) error {
	body, err := json.Marshal(v)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", kind)
	w.WriteHeader(status)
	_, _ = w.Write(body) // the phone may have disconnected; it will ask again
	return nil
}

// errorNames are the names that phones get for errors that are not about the
// document.
var errorNames = map[int]string{
	http.StatusUnauthorized: "sign_in", http.StatusForbidden: "forbidden", http.StatusNotFound: "not_found", http.StatusConflict: "conflict", http.StatusGone: "erased",
	http.StatusRequestEntityTooLarge: "too_large", http.StatusTooManyRequests: "too_many", http.StatusServiceUnavailable: "busy",
}

// failPhone answers a failed request of the phone's script with plain JSON,
// whatever it accepts.
func failPhone(w http.ResponseWriter, status int) {
	name := errorNames[status]
	if name == "" {
		name = "internal"
	}
	if status == http.StatusServiceUnavailable || status == http.StatusTooManyRequests {
		w.Header().Set("Retry-After", "10") // seconds; phones send at most once in ten seconds
	}
	_ = problem(w, status, phoneProblem{Error: name})
}
