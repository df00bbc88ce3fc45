package program

import (
	"bytes"
	"testing"
)

// TestOlderDocumentsKeepTheirHash: empty fields that were added later are
// omitted, so that a version published earlier keeps the same bytes.
func TestOlderDocumentsKeepTheirHash(t *testing.T) {
	t.Parallel()
	d := Document{Title: "t", Strands: []Strand{{Key: "a", Steps: []Step{{Key: "b", Targets: []Target{{Key: "c"}}}}}}}
	b, err := d.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	for _, later := range []string{"notice", "held", "picture"} {
		if bytes.Contains(b, []byte(`"`+later+`"`)) {
			t.Errorf("%s is written: %s", later, b)
		}
	}
}
