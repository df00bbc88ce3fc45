package httpd

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/recording"
	"newel/internal/strict"
)

func (s *Server) phoneRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: href.PhoneDay, Needs: newel.RecordSession, Phone: true, Handle: s.phoneDay},
		{Method: http.MethodGet, Pattern: href.PhoneReceipts, Needs: newel.RecordSession, Phone: true, Handle: s.phoneReceipts},
		{Method: http.MethodGet, Pattern: string(href.PhonePicture), Needs: newel.SeeProgress, Phone: true, Handle: s.phonePicture},
		{Method: http.MethodPut, Pattern: string(href.PhoneLetter), Needs: newel.TeachToday, MaxBody: recording.MaxSealed, Phone: true, Handle: at("letter", s.putLetter)},
		{Method: http.MethodPut, Pattern: string(href.PhoneTalk), Needs: newel.TeachToday, MaxBody: recording.MaxSealed, Phone: true, Handle: s.putTalk},
		{Method: http.MethodPut, Pattern: string(href.PhoneRead), Needs: newel.TeachToday, MaxBody: recording.MaxSealed, Phone: true, Handle: s.putRead},
		{Method: http.MethodPost, Pattern: href.PhoneRescue, Needs: newel.RecordSession, MaxBody: recording.MaxRescue, Phone: true, Handle: s.postRescue},
		{Method: http.MethodGet, Pattern: href.PhoneAccounts, Public: true, Phone: true, Handle: s.phoneAccounts},
		{Method: http.MethodPost, Pattern: href.PhonePIN, Needs: newel.TeachToday, Guess: true, Phone: true, Handle: s.postPIN},
		{Method: http.MethodPost, Pattern: href.PhoneSwitch, Public: true, Guess: true, Phone: true, Handle: s.postSwitch},
		{Method: http.MethodPost, Pattern: href.PhoneLock, Public: true, Phone: true, Handle: s.postLock},
	}
}

// phoneDay serves what a phone needs until it is online again.
func (s *Server) phoneDay(w http.ResponseWriter, r *http.Request) error {
	report := app.PhoneReport{Told: idsIn(r.Header.Get(newel.ToldHeader))}
	if unsent := r.Header.Get(newel.UnsentHeader); unsent != "" {
		report.Unsent = idsIn(unsent)
	}
	day, err := s.app.PhoneDay(r.Context(), mustActor(r), report)
	if err != nil {
		return err
	}
	tag, err := dayTag(day)
	if err != nil {
		return err
	}
	w.Header().Set("ETag", tag)
	// A weak comparison (RFC 9110, 13.1.2): a proxy that compresses makes a tag weak.
	if strings.TrimPrefix(r.Header.Get("If-None-Match"), "W/") == tag {
		w.Header().Set(newel.AsOfHeader, day.AsOf.Format(time.RFC3339Nano))
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	return writeJSON(w, http.StatusOK, program.DayMediaType, day)
}

// dayTag identifies the content of a day, whenever it was made.
func dayTag(day program.PhoneDay) (string, error) {
	day.AsOf = time.Time{}
	body, err := json.Marshal(day)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(body)
	return `"` + base64.RawURLEncoding.EncodeToString(sum[:]) + `"`, nil
}

// idsIn parses the ids in a header and skips invalid ones: a phone must get its
// day whatever it reports.
func idsIn(header string) []newel.RecordingID {
	ids := []newel.RecordingID{}
	for text := range strings.FieldsSeq(header) {
		if id, err := newel.ParseID[newel.RecordingID](text); err == nil && len(ids) < newel.MaxUnsent {
			ids = append(ids, id)
		}
	}
	return ids
}

// phoneReceipts reports again what is stored of recordings.
func (s *Server) phoneReceipts(w http.ResponseWriter, r *http.Request) error {
	asked := r.URL.Query()["id"]
	if len(asked) > recording.MaxChecked {
		return problem(w, http.StatusUnprocessableEntity, phoneProblem{Error: "invalid", Path: "id", Problem: fmt.Sprintf("at most %d at once", recording.MaxChecked)})
	}
	ids, bodies := make([]newel.RecordingID, len(asked)), make([]string, len(asked))
	for i, text := range asked {
		id, body, _ := strings.Cut(text, ".")
		parsed, err := newel.ParseID[newel.RecordingID](id)
		if err != nil {
			return problem(w, http.StatusUnprocessableEntity, phoneProblem{Error: "invalid", Path: fmt.Sprintf("id[%d]", i), Problem: "must be a UUID, or one with a dot and a SHA-256"})
		}
		ids[i], bodies[i] = parsed, strings.ToLower(body)
	}
	receipts, err := s.app.CheckReceipts(r.Context(), mustActor(r), ids, bodies)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, recording.ReceiptsMediaType, receipts)
}

// phonePicture serves a picture that a kit names.
func (s *Server) phonePicture(w http.ResponseWriter, r *http.Request) error {
	p, err := s.app.Picture(r.Context(), mustActor(r), r.PathValue("sha256"))
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", p.Kind)
	h.Set("Cache-Control", "private, no-store") // the phone stores it for its person
	h.Set("Content-Length", strconv.Itoa(len(p.Body)))
	_, _ = w.Write(p.Body) // the phone may have disconnected; it will ask again
	return nil
}

// putTalk records what a family says about a child's no, even if it arrives
// late.
func (s *Server) putTalk(w http.ResponseWriter, r *http.Request) error {
	line := ""
	id, in, ok, err := readPhoneEvent[newel.TalkID](w, r, "talk", field{"line", func(d *strict.Decoder) error { return d.Text(&line) }})
	if !ok {
		return err
	}
	out, err := s.app.Talked(r.Context(), mustActor(r), app.TalkInput{ID: id, Assignment: in.Assignment, Line: line, At: in.At, Sent: sentAt(r)})
	var invalid *newel.Invalid
	if errors.As(err, &invalid) {
		return problem(w, http.StatusUnprocessableEntity, phoneProblem{Error: "invalid", Path: "line", Problem: fmt.Sprintf("must be one line of at most %d characters", newel.MaxLine)})
	}
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, "application/json", out)
}

// putRead records an "I have read this", even if it arrives late.
func (s *Server) putRead(w http.ResponseWriter, r *http.Request) error {
	id, in, ok, err := readPhoneEvent[newel.TrainingID](w, r, "read")
	if !ok {
		return err
	}
	out, err := s.app.HaveRead(r.Context(), mustActor(r), app.ReadInput{ID: id, Assignment: in.Assignment, At: in.At, Sent: sentAt(r)})
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, "application/json", out)
}

// phoneEvent is what someone did about an assignment, as a phone sends it, with
// the time by the phone's clock.
type phoneEvent struct {
	Assignment newel.AssignmentID
	At         time.Time
}

// field is a field of a JSON object and its reader.
type field struct {
	name string
	read func(d *strict.Decoder) error
}

// readPhoneEvent reads an event with fields of its own, and the id that the
// phone gave it. If that fails without an error, it has written the answer
// itself.
func readPhoneEvent[I newel.ID[K], K any](w http.ResponseWriter, r *http.Request, name string, own ...field) (id I, in phoneEvent, ok bool, err error) {
	if id, err = pathID[I, K](r, name); err != nil {
		return id, in, false, err
	}
	fields := map[string]func(d *strict.Decoder) error{
		"assignment": func(d *strict.Decoder) error { return d.Parsed(&in.Assignment) },
		"at":         func(d *strict.Decoder) error { return d.Parsed(&in.At) },
	}
	for _, f := range own {
		fields[f.name] = f.read
	}
	ok, err = readJSON(w, r, fieldsOf(fields))
	if !ok {
		return id, in, false, err
	}
	u := newel.ID[K](id).UUID
	if u.Version() != 7 || u.Variant() != uuid.RFC4122 || in.At.IsZero() || in.Assignment.IsZero() {
		return id, in, false, problem(w, http.StatusUnprocessableEntity, phoneProblem{Error: "invalid", Problem: "wants a version 7 UUID in the address, an assignment and at"})
	}
	return id, in, true, nil
}

// sentAt returns the phone's wall clock at sending, or zero if it was not sent.
func sentAt(r *http.Request) time.Time {
	sent, err := recording.ParseSent(r.Header.Get(recording.SentHeader))
	if err != nil || sent.At == "" {
		return time.Time{}
	}
	at, _ := time.Parse(time.RFC3339, string(sent.At)) // validated before
	return at
}

// postRescue accepts a rescue file, item by item.
func (s *Server) postRescue(w http.ResponseWriter, r *http.Request) error {
	contract, sealed := 0, []json.RawMessage(nil)
	if ok, err := readJSON(w, r, func(d *strict.Decoder) error {
		return d.Object(nil, func(name string) error {
			switch {
			case name == "contract":
				return d.Integer(&contract)
			case contract != 0 && contract != recording.RescueContract:
				return d.Skip() // the answer says which contract is spoken here
			case name == "sealed":
				return strict.List(d, &sealed, d.Raw)
			}
			return d.Unknown()
		})
	}); !ok {
		return err
	}
	if contract != recording.RescueContract {
		return problem(w, http.StatusUnprocessableEntity, phoneProblem{Error: "contract", Speaks: recording.RescueContract})
	}
	t := s.printer(r)
	out := recording.Rescued{Contract: recording.RescueContract, Items: []recording.RescuedItem{}}
	for _, raw := range sealed {
		item, err := s.app.Rescue(r.Context(), mustActor(r), raw)
		if err != nil {
			return err
		}
		item.Text = t.Text("rescue." + item.Outcome)
		out.Items = append(out.Items, item)
	}
	return writeJSON(w, http.StatusOK, "application/json", out)
}

// readJSON reads a body of JSON, as strictly as a recording. If it cannot, it
// has answered, unless there is an error.
func readJSON(w http.ResponseWriter, r *http.Request, read func(d *strict.Decoder) error) (ok bool, err error) {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != "application/json" {
		return false, problem(w, http.StatusUnsupportedMediaType, phoneProblem{Error: "media_type", Problem: "send application/json"})
	}
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return false, err
	}
	var wrong *strict.Error
	switch err := strict.Read(body, read); {
	case errors.As(err, &wrong):
		return false, problem(w, http.StatusUnprocessableEntity, phoneProblem{Error: "invalid", Path: wrong.Path, Problem: wrong.Err.Error()})
	case err != nil:
		return false, err
	}
	return true, nil
}

// fieldsOf reads an object of a few optional fields, each with the reader under
// its name.
func fieldsOf(readers map[string]func(d *strict.Decoder) error) func(d *strict.Decoder) error {
	return func(d *strict.Decoder) error {
		return d.Object(nil, func(name string) error {
			read, known := readers[name]
			if !known {
				return d.Unknown()
			}
			return read(d)
		})
	}
}
