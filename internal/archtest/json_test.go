package archtest

import (
	"fmt"
	"go/token"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// fromOutside lists the rooms that JSON from outside enters, with those in
// their folders. They decode it with internal/strict, or internal/recording,
// which uses it.
var fromOutside = []string{"cmd/newel", "internal/compute", "internal/httpd"}

// lenient returns where those rooms decode JSON with encoding/json instead,
// which passes over unknown and duplicate fields.
func lenient(house []source, fset *token.FileSet) []string {
	var wrong []string
	for _, s := range house {
		enters := slices.ContainsFunc(fromOutside, func(room string) bool { return s.room == room || strings.HasPrefix(s.room, room+"/") })
		if s.test || !enters {
			continue
		}
		for at, name := range s.uses() {
			if name == "encoding/json.Unmarshal" || name == "encoding/json.NewDecoder" {
				wrong = append(wrong, fmt.Sprintf("%s uses %s: decode what comes from outside with internal/strict", fset.Position(at), name))
			}
		}
	}
	slices.Sort(wrong)
	return wrong
}

// TestJSONFromOutsideIsReadStrictly checks that there is one way to decode it.
func TestJSONFromOutsideIsReadStrictly(t *testing.T) {
	t.Parallel()
	fset := token.NewFileSet()
	house, err := readHouse(os.DirFS("../.."), fset)
	if err != nil {
		t.Fatal(err)
	}
	for _, wrong := range lenient(house, fset) {
		t.Error(wrong)
	}
}

// TestLenientJSONIsFound plants lenient decoding, under another name too.
func TestLenientJSONIsFound(t *testing.T) {
	t.Parallel()
	read := "import plain \"encoding/json\"\n\nfunc read(b []byte, v any) error { return plain.Unmarshal(b, v) }\n"
	stream := "import \"encoding/json\"\n\nvar open = json.NewDecoder\n"
	fset := token.NewFileSet()
	house, err := readHouse(fstest.MapFS{
		"internal/httpd/read.go":         {Data: []byte("package httpd\n\n" + read)},
		"internal/httpd/read_test.go":    {Data: []byte("package httpd\n\n" + stream)},
		"internal/compute/kind/read.go":  {Data: []byte("package kind\n\n" + stream)},
		"internal/computed/read.go":      {Data: []byte("package computed\n\n" + read)},
		"internal/httpd/write/answer.go": {Data: []byte("package write\n\nimport \"encoding/json\"\n\nvar answer = json.Marshal\n")},
	}, fset)
	if err != nil {
		t.Fatal(err)
	}
	found := lenient(house, fset)
	if len(found) != 2 || !strings.HasPrefix(found[0], "internal/compute/kind/read.go:5") || !strings.HasPrefix(found[1], "internal/httpd/read.go:5") {
		t.Errorf("found %q", found)
	}
}
