package program

import (
	"strings"
	"time"

	"newel/internal/newel"
)

// HelpScale is a prompt hierarchy of the clinic, from least to most help, that
// a new program can start with. The program stores a copy.
type HelpScale struct {
	ID         newel.HelpScaleID
	Name       string
	Levels     []HelpLevel
	CreatedAt  time.Time
	ArchivedAt *time.Time
}

// MaxHelpLevels is the maximum number of levels in a clinic's prompt hierarchy,
// limited by the recorder's rail. Three to five are usual (common practice).
const MaxHelpLevels = 5

// ReadHelpLevels parses levels as typed, one per line, with "(touch)" after
// those that involve touching the child. It adds problems with the field to e.
func ReadHelpLevels(field, text string, e *newel.Invalid) []HelpLevel {
	var levels []HelpLevel
	seen := map[string]bool{}
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		l := helpLevelOf(line)
		l.Name = e.Line(field, l.Name, newel.MaxName, true)
		if folded := strings.ToLower(l.Name); seen[folded] {
			e.Add(field, "program.help_twice", "level", l.Name)
		} else {
			seen[folded] = true
		}
		levels = append(levels, l)
	}
	switch {
	case len(levels) == 0:
		e.Add(field, "field.required")
	case len(levels) > MaxHelpLevels:
		e.Add(field, "helpscale.too_many", "n", len(levels), "most", MaxHelpLevels)
	}
	return levels
}

// Text returns the levels as typed.
func (s HelpScale) Text() string { return lines(s.Levels, HelpLevel.line) }
