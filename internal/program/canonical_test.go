package program

import (
	"bytes"
	"testing"
)

// TestOlderDocumentsKeepTheirHash: fields that came later are left out where
// nothing was said, so that a version published before them is the same bytes.
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
