package archtest

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"
)

// module is the prefix of our own import paths.
const module = "newel/"

// A source is one parsed Go file. The tests parse files in this process rather
// than in a subprocess, so that Go's test cache tracks them and reruns the
// tests when a file changes.
type source struct {
	room    string // the folder below the module's root, such as "internal/stat"
	path    string
	test    bool
	syntax  *ast.File
	imports []string
	names   map[string]string // name that the file uses for a package → import path
}

// skipped folders hold no Go code of this project.
var skipped = []string{"node_modules", "testdata", "dist", "bin"}

// readHouse parses every Go file below the root of a module. It ignores build
// constraints, because rules apply on every platform.
func readHouse(root fs.FS, fset *token.FileSet) ([]source, error) {
	var house []source
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && name != "." && (strings.HasPrefix(d.Name(), ".") || slices.Contains(skipped, d.Name())):
			return fs.SkipDir
		case d.IsDir() || !strings.HasSuffix(name, ".go"):
			return nil
		}
		s, err := readSource(root, name, fset)
		if err != nil {
			return err
		}
		house = append(house, s)
		return nil
	})
	return house, err
}

func readSource(root fs.FS, name string, fset *token.FileSet) (source, error) {
	raw, err := fs.ReadFile(root, name)
	if err != nil {
		return source{}, err
	}
	syntax, err := parser.ParseFile(fset, name, raw, parser.ParseComments)
	if err != nil {
		return source{}, err
	}
	s := source{room: path.Dir(name), path: name, test: strings.HasSuffix(name, "_test.go"), syntax: syntax, names: map[string]string{}}
	for _, spec := range syntax.Imports {
		imported, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			return source{}, fmt.Errorf("%s: %w", name, err)
		}
		s.imports = append(s.imports, imported)
		s.names[localName(spec, imported)] = imported
	}
	return s, nil
}

// localName returns the name by which a file refers to an import: its alias, or
// the last part of the path that is not a version.
func localName(spec *ast.ImportSpec, imported string) string {
	if spec.Name != nil {
		return spec.Name.Name
	}
	base := path.Base(imported)
	if len(base) > 1 && base[0] == 'v' && strings.Trim(base[1:], "0123456789") == "" {
		base = path.Base(path.Dir(imported))
	}
	return base
}

// ours returns the folder of an imported package of this module.
func ours(imported string) (string, bool) { return strings.CutPrefix(imported, module) }

// standard reports whether a package belongs to Go's standard library, which is
// so if the first part of its path has no dot.
func standard(imported string) bool {
	first, _, _ := strings.Cut(imported, "/")
	return !strings.Contains(first, ".") && first+"/" != module
}

// uses lists the names that a file uses from its imported packages, as
// "import/path.Name", with the position of each use.
func (s source) uses() map[token.Pos]string {
	found := map[token.Pos]string{}
	ast.Inspect(s.syntax, func(n ast.Node) bool {
		if sel, ok := n.(*ast.SelectorExpr); ok {
			if pkg, ok := sel.X.(*ast.Ident); ok && s.names[pkg.Name] != "" {
				found[sel.Pos()] = s.names[pkg.Name] + "." + sel.Sel.Name
			}
		}
		return true
	})
	return found
}
