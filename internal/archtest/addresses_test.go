package archtest

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// addressed lists the packages that link pages to each other. They must take
// addresses from internal/href.
var addressed = []string{"internal/app", "internal/reading", "internal/httpd", "internal/say", "internal/view", "internal/demo", "internal/worker"}

var (
	address  = regexp.MustCompile(`^/[a-z{]|^\?[a-z_]+=`)
	inMarkup = regexp.MustCompile(`["` + "`" + `](/[a-z{]|\?[a-z_]+=)[^"` + "`" + `]*`)
)

// TestAddressesOnlyInHref checks that only internal/href writes addresses of
// the site.
func TestAddressesOnlyInHref(t *testing.T) {
	t.Parallel()
	for _, dir := range addressed {
		for _, pattern := range []string{"*.go", "*.templ"} {
			files, err := filepath.Glob(filepath.Join("..", "..", dir, pattern))
			if err != nil {
				t.Fatal(err)
			}
			for _, file := range files {
				name := filepath.Base(file)
				if strings.HasSuffix(name, "_test.go") || strings.HasSuffix(name, "_templ.go") || strings.HasPrefix(name, "gallery") {
					continue // tests send requests as a browser does; the gallery shows invented pages
				}
				src, err := os.ReadFile(file)
				if err != nil {
					t.Fatal(err)
				}
				for _, found := range addressesIn(t, name, string(src)) {
					t.Errorf("%s/%s writes the address %s: it belongs in internal/href", dir, name, found)
				}
			}
		}
	}
}

// addressesIn returns the addresses that a file writes itself.
func addressesIn(t *testing.T, name, src string) []string {
	t.Helper()
	var found []string
	if strings.HasSuffix(name, ".templ") {
		for _, m := range inMarkup.FindAllString(src, -1) {
			found = append(found, m[1:])
		}
		return found
	}
	f, err := parser.ParseFile(token.NewFileSet(), name, src, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(f, func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			if text, err := strconv.Unquote(lit.Value); err == nil && address.MatchString(text) {
				found = append(found, text)
			}
		}
		return true
	})
	return found
}

// TestAddressesAreFound checks that addressesIn finds addresses and nothing
// else.
func TestAddressesAreFound(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		file, src string
		want      int
	}{
		"a path":                 {"x.go", "package x\nconst a = \"/caseload\"", 1},
		"the end of a path":      {"x.go", "package x\nvar a = b + \"/edit\"", 1},
		"a query":                {"x.go", "package x\nvar a = b + \"?about=idle\"", 1},
		"the start page":         {"x.go", "package x\nconst a = \"/\"", 0},
		"a media type":           {"x.go", "package x\nconst a = \"text/html\"", 0},
		"an import":              {"x.go", "package x\nimport \"net/http\"", 0},
		"a path in markup":       {"x.templ", "<a href=\"/today\">", 1},
		"one in an expression":   {"x.templ", "<a href={ p.Path + \"/edit\" }>", 1},
		"an anchor in markup":    {"x.templ", "<a href=\"#main\">", 0},
		"an address by its name": {"x.templ", "<a href={ href.Today }>", 0},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if got := addressesIn(t, tc.file, tc.src); len(got) != tc.want {
				t.Errorf("found %q, want %d", got, tc.want)
			}
		})
	}
}
