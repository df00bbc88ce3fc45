package program_test

import (
	"encoding/json"
	"testing"

	"newel/internal/program"
)

// Drafts that were stored before Unparsed had its name can still be read.
func TestUnparsedKeepsItsStoredName(t *testing.T) {
	t.Parallel()
	var d program.Document
	if err := json.Unmarshal([]byte(`{"unread":{"steps.a.trials":"ten"}}`), &d); err != nil || d.Unparsed["steps.a.trials"] != "ten" || program.UnparsedName != "unread" {
		t.Errorf("%v, %v", d.Unparsed, err)
	}
}
