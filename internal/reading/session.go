package reading

import (
	"encoding/json"
	"fmt"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/recording"
)

// Session is a recording in the evaluator's form.
type Session struct {
	newel.SessionRow
	Of    criterion.Session
	Unfit []recording.Condition // conditions in which it differed from its step
}

// ReadLatest decodes a session stored with its placement's reading.
func ReadLatest(raw json.RawMessage, people map[string]string) (s Session, err error) {
	if err := s.read(raw); err != nil {
		return s, fmt.Errorf("kept session: %w", err)
	}
	s.ID, err = newel.ParseID[newel.RecordingID](s.Of.ID)
	s.LocalDate, s.EndedAt, s.Void, s.ByName = dayIn(s.Of.LocalDate), s.Of.EndedAt, s.Of.Void, people[s.Of.By]
	return s, err
}

// ReadSession decodes a session stored with its recording.
func ReadSession(row newel.SessionRow) (Session, error) {
	s := Session{SessionRow: row}
	if err := s.read(row.Session); err != nil {
		return s, fmt.Errorf("kept session %s: %w", row.ID, err)
	}
	return s, nil
}
