package reading

import (
	"bytes"
	"encoding/json"

	"newel/internal/newel"
)

// SameReading reports whether two readings say the same, however they are written.
func SameReading(a, b newel.Reading) bool {
	return a.Status == b.Status && a.IdleFrom == b.IdleFrom && a.Evaluator == b.Evaluator && bytes.Equal(normal(a.Body), normal(b.Body))
}

// normal writes JSON in one spelling: the database spaces and orders it in
// its own.
func normal(raw json.RawMessage) []byte {
	var v any
	if json.Unmarshal(raw, &v) != nil {
		return raw
	}
	out, _ := json.Marshal(v) // what was read can be written
	return out
}
