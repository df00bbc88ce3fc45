package archtest

import (
	"flag"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the tables of packages into DEVELOPERS.md")

// root is the folder of go.mod, relative to this package.
var root = filepath.Join("..", "..")

func TestArchitectureFollowsThePlan(t *testing.T) {
	t.Parallel()
	fset := token.NewFileSet()
	house, err := readHouse(os.DirFS(root), fset)
	if err != nil {
		t.Fatal(err)
	}
	for _, wrong := range rooms.check(house, fset) {
		t.Error(wrong)
	}
	for _, name := range withoutComment(house) {
		t.Errorf("%s has no package comment", name)
	}
}

// The drawing and the tables in DEVELOPERS.md are between these lines.
var tables = []struct {
	begin, end string
	write      func() string
}{
	{"<!-- floors: written by internal/archtest -->\n", "<!-- end of floors -->\n", rooms.drawing},
	{"<!-- pure rooms: written by internal/archtest -->\n", "<!-- end of pure rooms -->\n", func() string { return rooms.table(true) }},
	{"<!-- other rooms: written by internal/archtest -->\n", "<!-- end of other rooms -->\n", func() string { return rooms.table(false) }},
}

// TestDocumentDrift checks that DEVELOPERS.md matches the plan.
func TestDocumentDrift(t *testing.T) {
	t.Parallel()
	path := filepath.Join(root, "DEVELOPERS.md")
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text := string(raw)
	for _, part := range tables {
		before, rest, begins := strings.Cut(text, part.begin)
		_, after, ends := strings.Cut(rest, part.end)
		if !begins || !ends {
			t.Fatalf("DEVELOPERS.md lacks the lines %q and %q", part.begin, part.end)
		}
		text = before + part.begin + part.write() + part.end + after
	}
	if text == string(raw) {
		return
	}
	if !*update {
		t.Fatal("the tables of packages in DEVELOPERS.md are out of date: run make generate")
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}
