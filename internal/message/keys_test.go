package message

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// notKeys lists literals that look like a catalog key but are not.
var notKeys = map[string]bool{
	"quarantine.set_aside": true, // names of audited deeds
	"quarantine.taken_in":  true,
	"family.add":           true, // an audited deed
	"family.id":            true, // a column
	"demo.json":            true, // a file
	"phone.js":             true, // a file
	"phone-shared.js":      true,
	"phone-recorder.js":    true,
	"preview.css":          true,
	"preview.js":           true,
	"clinic.add":           true, // an audited deed
	"program.yaml":         true, // a file
	"order.rule":           true, // paths in a program document
	"order.block":          true,
	"order.max_same":       true,
	"order.known":          true,
	"order.known_share":    true,
	"draft.card_":          true, // begins keys
}

// use is one place in the sources where a key occurs.
type use struct {
	at     token.Position
	key    string // a whole key, or a part that ends in "." or "_"
	prefix bool   // something is appended to it
	called bool   // it is passed to Text or Add
	args   []string
	spread bool // the arguments are not written out
}

// TestEveryKeyInTheSourcesHasAText scans all Go sources (including generated
// templates) for literals in the form of a key: those passed to Text or Add,
// and others that begin like a catalog key.
func TestEveryKeyInTheSourcesHasAText(t *testing.T) {
	t.Parallel()
	p := catalogue(t).For("en")
	areas := map[string]bool{}
	for key := range p.entries {
		area, _, _ := strings.Cut(key, ".")
		areas[area] = true
	}
	uses := usesIn(t, "../..")
	if len(uses) < 50 {
		t.Fatalf("found only %d keys in the sources; is the search broken?", len(uses))
	}
	for _, u := range uses {
		area, _, _ := strings.Cut(u.key, ".")
		if notKeys[u.key] || strings.HasSuffix(u.key, ".templ") || !u.called && !areas[area] {
			continue
		}
		switch {
		case u.prefix && !someKeyBegins(p, u.key):
			t.Errorf("%s: no key of en.json begins with %q", u.at, u.key)
		case !u.prefix && !p.Has(u.key):
			t.Errorf("%s: %q is not in en.json", u.at, u.key)
		case !u.prefix && u.called && !u.spread:
			checkArgs(t, p, u)
		}
	}
}

func someKeyBegins(p *Printer, prefix string) bool {
	for key := range p.entries {
		if strings.HasPrefix(key, prefix) {
			return true
		}
	}
	return false
}

// checkArgs checks that a text gets the arguments it uses.
func checkArgs(t *testing.T, p *Printer, u use) {
	given := map[string]bool{}
	for _, name := range u.args {
		given[name] = true
	}
	for name := range p.entries[u.key].placeholders() {
		if !given[name] {
			t.Errorf("%s: %q needs the argument %q", u.at, u.key, name)
		}
	}
}

// usesIn parses the sources below a folder, except tests.
func usesIn(t *testing.T, root string) []use {
	t.Helper()
	var uses []use
	files := token.NewFileSet()
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil && os.IsNotExist(err): // a concurrent build removed it
			return nil
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "node_modules" || d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && path != root):
			return filepath.SkipDir
		case !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		file, err := parser.ParseFile(files, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		uses = append(uses, usesInFile(files, file)...)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return uses
}

func usesInFile(files *token.FileSet, file *ast.File) []use {
	var uses []use
	seen := map[*ast.BasicLit]bool{}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.CallExpr:
			uses = addCall(uses, files, seen, n)
		case *ast.BinaryExpr:
			if lit, key, ok := literal(n.X); ok && n.Op == token.ADD && keyForm.MatchString(key+"x") && !seen[lit] {
				seen[lit] = true
				uses = append(uses, use{at: files.Position(lit.Pos()), key: key, prefix: true})
			}
		case *ast.BasicLit:
			if lit, key, ok := literal(n); ok && keyForm.MatchString(key) && !seen[lit] {
				uses = append(uses, use{at: files.Position(lit.Pos()), key: key})
			}
		}
		return true
	})
	return uses
}

// keyAt is the position of the key among a call's arguments: Text of a printer,
// Add of newel.Invalid. Note names an audited action, which is not a key.
var keyAt = map[string]int{"Text": 0, "Add": 1, "Note": 1}

func addCall(uses []use, files *token.FileSet, seen map[*ast.BasicLit]bool, call *ast.CallExpr) []use {
	at, ok := keyAt[called(call)]
	if !ok || len(call.Args) <= at {
		return uses
	}
	lit, key, ok := literal(call.Args[at])
	if !ok || !keyForm.MatchString(key) {
		return uses
	}
	seen[lit] = true
	if called(call) == "Note" {
		return uses
	}
	u := use{at: files.Position(lit.Pos()), key: key, called: true, spread: call.Ellipsis.IsValid()}
	for i := at + 1; i < len(call.Args); i += 2 {
		_, name, ok := literal(call.Args[i])
		u.spread = u.spread || !ok
		u.args = append(u.args, name)
	}
	return append(uses, u)
}

func called(call *ast.CallExpr) string {
	switch f := call.Fun.(type) {
	case *ast.SelectorExpr:
		return f.Sel.Name
	case *ast.Ident:
		return f.Name
	}
	return ""
}

func literal(e ast.Expr) (*ast.BasicLit, string, bool) {
	lit, ok := e.(*ast.BasicLit)
	if !ok || lit.Kind != token.STRING {
		return nil, "", false
	}
	text, err := strconv.Unquote(lit.Value)
	return lit, text, err == nil
}
