package programfile

import (
	"embed"
	"fmt"
	"path"
	"strings"

	"newel/internal/program"
)

// starters holds invented programs to start from, in the usual form (common
// practice). Each says that a qualified supervisor must read and adapt it
// before anyone uses it with a child.
//
//go:embed starter/*.yaml
var starters embed.FS

// Starter is one starter program.
type Starter struct {
	Name     string // such as "stop-and-go"
	Document program.Document
}

// Starters returns all starter programs in order of name. Their keys are always
// the same; a program based on one may keep them.
func Starters() ([]Starter, error) {
	files, err := starters.ReadDir("starter")
	if err != nil {
		return nil, fmt.Errorf("listing starter programs: %w", err)
	}
	var out []Starter
	for _, f := range files {
		raw, err := starters.ReadFile(path.Join("starter", f.Name()))
		if err != nil {
			return nil, fmt.Errorf("reading a starter program: %w", err)
		}
		d, problems := Parse(raw)
		if len(problems) > 0 {
			p := problems[0]
			return nil, fmt.Errorf("starter program %s, line %d, %s: %s", f.Name(), p.Line, p.Field, p.Key)
		}
		out = append(out, Starter{strings.TrimSuffix(f.Name(), ".yaml"), d})
	}
	return out, nil
}
