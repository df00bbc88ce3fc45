package program

import (
	"strings"
	"time"

	"newel/internal/newel"
)

// HelpScale is an ordered list of help levels of the clinic's own, from least
// to most, with which a program can begin. The program keeps a copy.
type HelpScale struct {
	ID         newel.HelpScaleID
	Name       string
	Levels     []HelpLevel
	CreatedAt  time.Time
	ArchivedAt *time.Time
}

// MaxHelpLevels is how many levels a scale of the clinic may have: as many
// posts as the recorder's rail has beside the tread at its foot. Three to five
// are usual (common practice).
const MaxHelpLevels = 5

// ReadHelpLevels reads levels as they are typed, one a line, with "(touch)"
// behind those that touch the child. Problems name the field.
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

// Text writes the levels as they are typed.
func (s HelpScale) Text() string { return lines(s.Levels, HelpLevel.line) }
