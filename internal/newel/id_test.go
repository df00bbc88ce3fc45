package newel

import (
	"errors"
	"testing"
)

func TestParseID(t *testing.T) {
	t.Parallel()
	id := NewID[LearnerID]()
	got, err := ParseID[LearnerID](id.String())
	if err != nil || got != id {
		t.Errorf("ParseID(%s) = %s, %v", id, got, err)
	}
	for _, bad := range []string{"", "x", "urn:uuid:" + id.String(), "{" + id.String() + "}"} {
		if _, err := ParseID[LearnerID](bad); !errors.Is(err, ErrNotFound) {
			t.Errorf("ParseID(%q) error = %v, want not found", bad, err)
		}
	}
	if id.Version() != 7 {
		t.Errorf("version %d, want 7", id.Version())
	}
}
