package archtest

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// allowed says which packages of this module each package may import. It is
// the table in DEVELOPERS.md. A package that is not listed fails the test, so
// that a new one is placed on purpose.
var allowed = map[string][]string{
	// Pure: every number is made here. No clock, environment or randomness.
	"internal/exact":      {},
	"internal/stat":       {"internal/exact"},
	"internal/strict":     {"internal/exact"},
	"internal/measure":    {"internal/exact", "internal/stat", "internal/strict"},
	"internal/criterion":  {"internal/exact", "internal/stat", "internal/measure", "internal/strict"},
	"internal/singlecase": {"internal/exact", "internal/stat", "internal/strict"},
	"internal/preference": {"internal/exact", "internal/strict"},
	"internal/sequence":   {"internal/exact", "internal/strict"},
	"internal/chart":      {},
	"internal/newel":      {"internal/criterion"},
	"internal/program":    {"internal/newel", "internal/criterion", "internal/exact"},
	"internal/recording":  {"internal/newel", "internal/measure", "internal/exact"},

	// Help with writing programs.
	"internal/skill":       {"internal/newel", "internal/program"},
	"internal/writing":     {"internal/newel", "internal/program", "internal/criterion", "internal/exact", "internal/skill"},
	"internal/revision":    {"internal/program", "internal/criterion"},
	"internal/picture":     {"internal/newel"},
	"internal/programfile": {"internal/newel", "internal/program", "internal/picture"},

	"internal/reading": {"internal/criterion", "internal/exact", "internal/measure", "internal/newel", "internal/program", "internal/recording"},

	"internal/message": {"internal/newel"},
	"internal/href":    {"internal/newel"},

	// The store below, pages above.
	"migrations":          {},
	"internal/postgres":   {"internal/reading", "internal/newel", "internal/program", "internal/recording"},
	"internal/view":       {"internal/revision", "internal/newel", "internal/program", "internal/href", "internal/chart", "internal/message", "internal/criterion", "internal/recording", "internal/measure", "internal/skill"},
	"internal/config":     {},
	"internal/account":    {"internal/newel"},
	"internal/embeddedpg": {"internal/config"},
	"internal/app": {
		"internal/reading", "internal/newel", "internal/program", "internal/criterion", "internal/measure", "internal/recording", "internal/exact", "internal/stat",
		"internal/postgres", "internal/account", "internal/message", "internal/href",
		"internal/revision", "internal/writing", "internal/programfile", "internal/picture", "internal/skill",
	},
	"internal/say": {
		"internal/reading", "internal/app", "internal/view", "internal/href", "internal/message", "internal/newel", "internal/recording",
		"internal/criterion", "internal/chart", "internal/revision", "internal/writing", "internal/program", "internal/programfile", "internal/skill",
	},
	"internal/httpd": {
		"internal/reading", "internal/app", "internal/say", "internal/view", "internal/program", "internal/href", "internal/account", "internal/message", "internal/newel", "internal/recording",
		"internal/criterion", "internal/live", "internal/writing", "internal/programfile", "internal/picture", "web",
	},
	"internal/live":   {"internal/newel"},
	"internal/worker": {"internal/app", "internal/embeddedpg"},
	"internal/demo":   {"internal/app", "internal/newel", "internal/program", "internal/recording", "internal/measure"},
	"web":             {},
}

// free lists the packages that may import anything: commands, and helpers
// that only tests use.
var free = []string{"cmd/", "internal/pgtest", "internal/fixture", "internal/htmlcheck", "internal/archtest", "internal/verification"}

// outside lists modules that only some packages may know.
var outside = map[string][]string{
	"github.com/jackc/pgx":          {"internal/postgres", "internal/pgtest", "internal/fixture", "internal/embeddedpg", "internal/worker", "migrations", "cmd/"},
	"github.com/go-chi/chi":         {"internal/httpd", "cmd/"},
	"github.com/alexedwards/scs":    {"internal/httpd", "cmd/"},
	"github.com/evanw/esbuild":      {"cmd/assets"},
	"github.com/a-h/templ":          {"internal/view", "internal/httpd", "cmd/"},
	"github.com/pressly/goose":      {"migrations"},
	"golang.org/x/crypto":           {"internal/account"},
	"github.com/andybalholm/brotli": {"cmd/assets"},
	"github.com/klauspost/compress": {"internal/httpd"},
	"go.yaml.in/yaml":               {"internal/programfile"},
	"rsc.io/qr":                     {"internal/view"},
	"pgregory.net/rapid":            {}, // tests only
	"github.com/google/go-cmp":      {"internal/htmlcheck", "internal/pgtest", "internal/fixture"},
}

// pure packages also keep away from these.
var (
	pure          = []string{"internal/exact", "internal/stat", "internal/strict", "internal/measure", "internal/criterion", "internal/singlecase", "internal/preference", "internal/sequence", "internal/chart", "internal/recording", "internal/href", "internal/say"}
	impureImports = []string{"os", "net", "net/http", "database/sql", "math/rand", "math/rand/v2", "crypto/rand", "log", "log/slog", "os/exec"}
)

type goPackage struct {
	ImportPath string
	Dir        string
	GoFiles    []string
	Imports    []string
}

func load(t *testing.T) []goPackage {
	t.Helper()
	cmd := exec.Command("go", "list", "-e", "-json=ImportPath,Dir,GoFiles,Imports", "./...")
	cmd.Dir = filepath.Join("..", "..")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var pkgs []goPackage
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for {
		var p goPackage
		if err := dec.Decode(&p); err == io.EOF {
			return pkgs
		} else if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(p.ImportPath, "node_modules") {
			pkgs = append(pkgs, p)
		}
	}
}

func within(name string, list []string) bool {
	return slices.ContainsFunc(list, func(l string) bool {
		return name == l || strings.HasPrefix(name, strings.TrimSuffix(l, "/")+"/")
	})
}

func TestImports(t *testing.T) {
	t.Parallel()
	for _, p := range load(t) {
		name := strings.TrimPrefix(p.ImportPath, "newel/")
		if within(name, free) {
			continue
		}
		edges, known := allowed[name]
		if !known {
			t.Errorf("%s is in no layer: place it in the table of this test and of DEVELOPERS.md", name)
			continue
		}
		for _, imp := range p.Imports {
			if dep, ours := strings.CutPrefix(imp, "newel/"); ours && !slices.Contains(edges, dep) {
				t.Errorf("%s imports %s, which its layer may not know", name, dep)
			}
		}
	}
}

func TestOutsideModules(t *testing.T) {
	t.Parallel()
	for _, p := range load(t) {
		name := strings.TrimPrefix(p.ImportPath, "newel/")
		for _, imp := range p.Imports {
			for module, who := range outside {
				if strings.HasPrefix(imp, module) && !within(name, who) {
					t.Errorf("%s imports %s, which only %v may know", name, imp, who)
				}
			}
		}
	}
}

// TestPure: the packages in which numbers are made read no clock, no
// environment and no randomness of their own.
func TestPure(t *testing.T) {
	t.Parallel()
	for _, p := range load(t) {
		name := strings.TrimPrefix(p.ImportPath, "newel/")
		if !slices.Contains(pure, name) {
			continue
		}
		for _, imp := range p.Imports {
			if slices.Contains(impureImports, imp) {
				t.Errorf("%s imports %s", name, imp)
			}
		}
		for _, file := range p.GoFiles {
			clockCalls(t, filepath.Join(p.Dir, file))
		}
	}
}

func clockCalls(t *testing.T, path string) {
	t.Helper()
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, path, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(f, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		if pkg, ok := sel.X.(*ast.Ident); ok && pkg.Name == "time" && slices.Contains([]string{"Now", "Since", "Until"}, sel.Sel.Name) {
			t.Errorf("%s reads the clock", fset.Position(n.Pos()))
		}
		return true
	})
}

// TestPackageComments: whoever opens a package is told what may be in it.
func TestPackageComments(t *testing.T) {
	t.Parallel()
	for _, p := range load(t) {
		documented := slices.ContainsFunc(p.GoFiles, func(file string) bool {
			f, err := parser.ParseFile(token.NewFileSet(), filepath.Join(p.Dir, file), nil, parser.PackageClauseOnly|parser.ParseComments)
			return err == nil && f.Doc != nil
		})
		if !documented && len(p.GoFiles) > 0 {
			t.Errorf("%s has no package comment", p.ImportPath)
		}
	}
}
