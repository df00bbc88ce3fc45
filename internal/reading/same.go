package reading

import (
	"bytes"
	"encoding/json"

	"newel/internal/newel"
)

// SameReading reports whether two readings are equal, however their JSON is
// formatted.
func SameReading(a, b newel.Reading) bool {
	return a.Status == b.Status && a.IdleFrom == b.IdleFrom && a.Evaluator == b.Evaluator && bytes.Equal(normal(a.Body), normal(b.Body))
}

// normal returns JSON in one spelling, because the database changes its spaces
// and order.
func normal(raw json.RawMessage) []byte {
	var v any
	if json.Unmarshal(raw, &v) != nil {
		return raw
	}
	out, _ := json.Marshal(v) // decoded JSON can be encoded
	return out
}
