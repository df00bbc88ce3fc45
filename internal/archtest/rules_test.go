package archtest

import (
	"fmt"
	"go/token"
	"maps"
	"slices"
	"strings"
)

// A room is what the architecture says about one package.
type room struct {
	name string
	// holds describes the package's content for DEVELOPERS.md.
	holds string
	// may lists the packages of this module that the room may import; anything
	// allows all.
	may []string
	// outside lists the third-party packages that the room may import, each by
	// its full path.
	outside []string
	// tests rooms hold helpers and data of tests.
	tests bool
	// pure rooms read no clock, environment or randomness, and access no
	// network or files. They get what they need as arguments.
	pure bool
	// except lists what a pure room may use nevertheless, each with the reason:
	// "time.LoadLocation".
	except map[string]string
}

// anything in room.may allows every package of this module.
const anything = "anything"

// pureStandard lists the packages of the standard library that a pure room may
// import. They only compute.
var pureStandard = []string{
	"archive/zip", "bufio", "bytes", "cmp", "crypto/aes", "crypto/cipher", "crypto/ecdh", "crypto/hkdf", "crypto/sha256",
	"database/sql/driver", "embed", "encoding", "encoding/base64", "encoding/binary", "encoding/csv", "encoding/hex",
	"encoding/json", "errors", "fmt", "image", "image/color", "image/draw", "image/jpeg", "image/png", "io", "io/fs", "iter",
	"maps", "math", "math/big", "math/bits", "net/mail", "net/url", "path", "reflect", "regexp", "slices", "sort", "strconv",
	"strings", "sync", "sync/atomic", "time", "time/tzdata", "unicode", "unicode/utf8",
}

// impure lists names in otherwise pure packages that read the clock, the
// environment or randomness, or that write outside the process.
var impure = []string{
	"time.Now", "time.Since", "time.Until", "time.After", "time.AfterFunc", "time.Tick", "time.NewTimer", "time.NewTicker",
	"time.Sleep", "time.LoadLocation", "time.Local",
	"fmt.Print", "fmt.Printf", "fmt.Println", "fmt.Scan", "fmt.Scanf", "fmt.Scanln",
	"github.com/google/uuid.New", "github.com/google/uuid.NewString", "github.com/google/uuid.NewRandom",
	"github.com/google/uuid.NewUUID", "github.com/google/uuid.NewV6", "github.com/google/uuid.NewV7",
}

// testOnly lists third-party packages that every test may import.
var testOnly = []string{
	"github.com/google/go-cmp/cmp", "github.com/google/go-cmp/cmp/cmpopts", "pgregory.net/rapid",
}

// A plan is the whole architecture.
type plan []room

func (p plan) room(name string) *room {
	for i := range p {
		if p[i].name == name {
			return &p[i]
		}
	}
	return nil
}

// check compares the sources with the plan. It returns one sentence for each
// violation and for each unused permission.
func (p plan) check(house []source, fset *token.FileSet) []string {
	var wrong []string
	imported := map[string]map[string]bool{} // room → imports of its files, without tests
	used := map[string]map[string]bool{}     // room → the exceptions it uses
	for _, s := range house {
		r := p.room(s.room)
		if r == nil {
			wrong = append(wrong, fmt.Sprintf("%s is in no room: add it to the plan", s.room))
			continue
		}
		if s.test {
			wrong = append(wrong, r.testImports(s)...)
			continue
		}
		if imported[r.name] == nil {
			imported[r.name], used[r.name] = map[string]bool{}, map[string]bool{}
		}
		for _, i := range s.imports {
			imported[r.name][i] = true
		}
		if r.pure {
			wrong = append(wrong, r.impurities(s, fset, used[r.name])...)
		}
	}
	for _, r := range p {
		wrong = append(wrong, r.imports(imported[r.name])...)
		wrong = append(wrong, r.unused(imported[r.name], used[r.name])...)
	}
	slices.Sort(wrong)
	return slices.Compact(wrong)
}

// imports checks the imports of a room's files, without tests.
func (r room) imports(found map[string]bool) []string {
	var wrong []string
	if found == nil {
		return []string{fmt.Sprintf("%s is in the plan but has no Go files", r.name)}
	}
	for i := range found {
		dep, own := ours(i)
		switch {
		case own && !slices.Contains(r.may, dep) && !slices.Contains(r.may, anything):
			wrong = append(wrong, fmt.Sprintf("%s imports %s, which its room may not know", r.name, dep))
		case !own && !standard(i) && !slices.Contains(r.outside, i):
			wrong = append(wrong, fmt.Sprintf("%s imports %s, which its room may not know", r.name, i))
		case standard(i) && r.pure && !slices.Contains(pureStandard, i) && r.except[i] == "":
			wrong = append(wrong, fmt.Sprintf("%s is pure and imports %s", r.name, i))
		}
	}
	return wrong
}

// unused reports permissions that the room does not use.
func (r room) unused(found, used map[string]bool) []string {
	var wrong []string
	for _, dep := range r.may {
		if dep != anything && !found[module+dep] {
			wrong = append(wrong, fmt.Sprintf("%s may import %s but does not: take it out of the plan", r.name, dep))
		}
	}
	for _, dep := range r.outside {
		if !found[dep] {
			wrong = append(wrong, fmt.Sprintf("%s may import %s but does not: take it out of the plan", r.name, dep))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(r.except)) {
		if !used[name] && !found[name] {
			wrong = append(wrong, fmt.Sprintf("%s may use %s but does not: take it out of the plan", r.name, name))
		}
	}
	return wrong
}

// impurities returns what a file of a pure room uses that is not pure, under
// any import name. It adds exceptions that the file needs to used.
func (r room) impurities(s source, fset *token.FileSet, used map[string]bool) []string {
	var wrong []string
	if from, dot := s.names["."]; dot {
		wrong = append(wrong, fmt.Sprintf("%s imports %s with a dot, which hides what it uses", s.path, from))
	}
	for at, name := range s.uses() {
		switch {
		case !slices.Contains(impure, name):
		case r.except[name] != "":
			used[name] = true
		default:
			wrong = append(wrong, fmt.Sprintf("%s uses %s, but %s is pure", fset.Position(at), name, r.name))
		}
	}
	return wrong
}

// testImports checks the third-party packages of a test file. It may import
// those of its room and those for tests.
func (r room) testImports(s source) []string {
	var wrong []string
	for _, i := range s.imports {
		_, own := ours(i)
		if own || standard(i) || slices.Contains(testOnly, i) || slices.Contains(r.outside, i) || slices.Contains(forTests[r.name], i) {
			continue
		}
		wrong = append(wrong, fmt.Sprintf("%s imports %s, which tests of %s may not know", s.path, i, r.name))
	}
	return wrong
}

// withoutComment lists the rooms without a package comment.
func withoutComment(house []source) []string {
	says := map[string]bool{}
	for _, s := range house {
		if !s.test {
			says[s.room] = says[s.room] || s.syntax.Doc != nil
		}
	}
	var silent []string
	for _, name := range slices.Sorted(maps.Keys(says)) {
		if !says[name] {
			silent = append(silent, name)
		}
	}
	return silent
}

// table returns the rooms of the plan as a Markdown table for DEVELOPERS.md.
func (p plan) table(pure bool) string {
	var b strings.Builder
	b.WriteString("| package | what may be in it | may import |\n| --- | --- | --- |\n")
	for _, r := range p {
		if r.pure != pure {
			continue
		}
		may := "–"
		if len(r.may) > 0 {
			short := make([]string, len(r.may))
			for i, dep := range r.may {
				short[i] = strings.TrimPrefix(dep, "internal/")
			}
			slices.Sort(short)
			may = strings.Join(short, ", ")
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", r.name, r.holds, may)
	}
	return b.String()
}

// drawing stacks the rooms: each stands one floor above the highest room that
// it imports. Helpers of tests are left out: no product code imports them.
func (p plan) drawing() string {
	floors := map[int][]string{}
	top := 0
	for _, r := range p {
		if r.tests {
			continue
		}
		n := p.floor(r)
		floors[n] = append(floors[n], strings.TrimPrefix(r.name, "internal/"))
		top = max(top, n)
	}
	var b strings.Builder
	b.WriteString("```text\n")
	for n := top; n >= 0; n-- {
		slices.Sort(floors[n])
		fmt.Fprintf(&b, "%2d  %s\n", n, strings.Join(floors[n], " · "))
	}
	b.WriteString("```\n")
	return b.String()
}

// floor returns how many imports lead from a room down to one that imports
// none of ours.
func (p plan) floor(r room) int {
	n := 0
	for _, dep := range p {
		if dep.name == r.name || dep.tests || dep.wires() {
			continue
		}
		if slices.Contains(r.may, dep.name) || r.wires() {
			n = max(n, p.floor(dep)+1)
		}
	}
	return n
}

// wires reports whether the room may import everything, as the program does.
func (r room) wires() bool { return slices.Contains(r.may, anything) }
