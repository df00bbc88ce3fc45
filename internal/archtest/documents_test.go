package archtest

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var (
	link     = regexp.MustCompile(`\]\(([^)#]+)[^)]*\)`)
	codeFile = regexp.MustCompile("`((?:[a-z]+/)+[a-zA-Z0-9_.-]+\\.(?:go|ts|templ|sql|sh|md|yaml))`")
	testName = regexp.MustCompile("`(Test[A-Z][A-Za-z0-9]+)`")
	// place matches a reference in the page about a trial: a file or a package,
	// a colon, and names in it.
	place = regexp.MustCompile("`([a-zA-Z0-9_./-]+)`: ((?:`[A-Za-z.]+`(?:, )?)+)")
)

// documents returns the paths of all handwritten documents.
func documents(t *testing.T, root fs.FS) []string {
	t.Helper()
	paths := []string{"README.md", "DEVELOPERS.md"}
	for _, pattern := range []string{"docs/*.md", "docs/decisions/*.md"} {
		found, err := fs.Glob(root, pattern)
		if err != nil {
			t.Fatal(err)
		}
		paths = append(paths, found...)
	}
	return paths
}

// missing lists the links, files and tests that a document names but that do
// not exist. tests holds the source of all Go tests.
func missing(root fs.FS, document, text, tests string) (out []string) {
	exists := func(name string) bool {
		_, err := fs.Stat(root, path.Clean(name))
		return err == nil
	}
	for _, m := range link.FindAllStringSubmatch(text, -1) {
		if !strings.Contains(m[1], ":") && !exists(path.Join(path.Dir(document), m[1])) {
			out = append(out, "link "+m[1])
		}
	}
	for _, m := range codeFile.FindAllStringSubmatch(text, -1) {
		if !exists(m[1]) && !exists(path.Join("internal", m[1])) && !exists(path.Join("docs", m[1])) && !exists(path.Join("internal/recording", m[1])) {
			out = append(out, "file "+m[1])
		}
	}
	for _, m := range testName.FindAllStringSubmatch(text, -1) {
		if !strings.Contains(tests, "func "+m[1]+"(") {
			out = append(out, "test "+m[1])
		}
	}
	return out
}

// misplaced lists the names that a document attributes to a file or a package
// that does not have them. A file without a folder is in the folder named
// before it.
func misplaced(root fs.FS, text string) (out []string) {
	folder := "."
	for _, m := range place.FindAllStringSubmatch(text, -1) {
		where := m[1]
		switch {
		case !strings.Contains(where, "/"):
			where = path.Join(folder, where)
		case path.Ext(where) == "":
			folder = where
		default:
			folder = path.Dir(where)
		}
		source := sourceOf(root, where)
		for _, name := range strings.Split(strings.ReplaceAll(m[2], "`", ""), ", ") {
			last := name[strings.LastIndex(name, ".")+1:]
			if !regexp.MustCompile(`\b` + last + `\b`).MatchString(source) {
				out = append(out, where+": "+name)
			}
		}
	}
	return out
}

// sourceOf returns the text of a file, or of all files of a package.
func sourceOf(root fs.FS, where string) string {
	names := []string{where}
	if path.Ext(where) == "" {
		names, _ = fs.Glob(root, where+"/*.go")
	}
	var all strings.Builder
	for _, name := range names {
		b, _ := fs.ReadFile(root, name) // a missing file contains none of the names
		all.Write(b)
	}
	return all.String()
}

// TestDocumentsNameWhatExists keeps the documents correct when files, tests and
// functions move.
func TestDocumentsNameWhatExists(t *testing.T) {
	t.Parallel()
	root := os.DirFS("../..")
	var tests strings.Builder
	err := filepath.WalkDir("../..", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "node_modules" || d.Name() == ".git") {
			return filepath.SkipDir
		}
		if strings.HasSuffix(name, "_test.go") {
			b, err := os.ReadFile(name)
			tests.Write(b)
			return err
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range documents(t, root) {
		b, err := fs.ReadFile(root, name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range missing(root, name, string(b), tests.String()) {
			t.Errorf("%s names %s, which does not exist", name, m)
		}
		if path.Base(name) == "from-trial-to-caseload.md" {
			if len(place.FindAllString(string(b), -1)) < 12 {
				t.Errorf("%s names fewer than 12 places", name)
			}
			for _, m := range misplaced(root, string(b)) {
				t.Errorf("%s: not in %s", name, m)
			}
		}
	}
}

// TestWrongNamesInDocumentsAreFound plants one error of each kind.
func TestWrongNamesInDocumentsAreFound(t *testing.T) {
	t.Parallel()
	root := os.DirFS("../..")
	text := "[a](docs/none.md) `internal/none/none.go` `TestThereIsNone` [b](docs/README.md) `internal/archtest/doc.go` `TestThereIs`"
	want := []string{"link docs/none.md", "file internal/none/none.go", "test TestThereIsNone"}
	if got := missing(root, "README.md", text, "func TestThereIs("); !slices.Equal(got, want) {
		t.Errorf("missing = %q, want %q", got, want)
	}
	text = "`internal/archtest/doc.go`: `archtest`, `NoSuchThing`; `internal/recording`: `Merge`, `NoSuchThing`; `nofile.go`: `Merge`"
	want = []string{"internal/archtest/doc.go: NoSuchThing", "internal/recording: NoSuchThing", "internal/recording/nofile.go: Merge"}
	if got := misplaced(root, text); !slices.Equal(got, want) {
		t.Errorf("misplaced = %q, want %q", got, want)
	}
}
