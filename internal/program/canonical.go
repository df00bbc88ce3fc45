package program

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"newel/internal/criterion"
)

// Canonical returns the document as canonical JSON: fields in the order of the
// type, no white space, nil lists as empty ones, no unparsed input. Equal
// documents have equal bytes, wherever they were stored.
func (d *Document) Canonical() ([]byte, error) {
	c := *d
	c.Format, c.Unparsed = DocumentFormat, nil
	c.Prerequisites = listed(c.Prerequisites)
	c.Materials = listed(c.Materials)
	c.HelpLevels = listed(c.HelpLevels)
	c.Checklist = listed(c.Checklist)
	c.MaintenanceWeeks = listed(c.MaintenanceWeeks)
	c.Difficulties = append([]Difficulty{}, c.Difficulties...)
	for i := range c.Difficulties {
		c.Difficulties[i].Steps = listed(c.Difficulties[i].Steps)
	}
	c.Strands = append([]Strand{}, c.Strands...)
	for i := range c.Strands {
		s := &c.Strands[i]
		s.Opens = listed(s.Opens)
		s.Steps = append([]Step{}, s.Steps...)
		for j := range s.Steps {
			s.Steps[j].Targets = listed(s.Steps[j].Targets)
			s.Steps[j].Order.Known = listed(s.Steps[j].Order.Known)
		}
	}
	b, err := json.Marshal(c)
	if err != nil {
		return nil, fmt.Errorf("canonical document: %w", err)
	}
	return b, nil
}

// Hash returns the SHA-256 of the canonical document in hexadecimal.
func (d *Document) Hash() (string, error) {
	b, err := d.Canonical()
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:]), nil
}

func listed[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// Vocabulary returns the names that the step's criterion may refer to.
func (d *Document) Vocabulary(step *Step) criterion.Vocabulary {
	return criterion.Vocabulary{HelpLevels: d.HelpNames(), Targets: step.TargetNames()}
}

// HelpNames returns the names of the help levels, from least to most.
func (d *Document) HelpNames() []string {
	names := make([]string, len(d.HelpLevels))
	for i, l := range d.HelpLevels {
		names[i] = l.Name
	}
	return names
}

// TargetNames returns the names of the targets that the step's sessions score.
func (s *Step) TargetNames() []string {
	taught := s.Taught()
	names := make([]string, len(taught))
	for i, t := range taught {
		names[i] = t.Name
	}
	return names
}

// Touches reports whether the help level with this name involves touching the
// child.
func (d *Document) Touches(level string) bool {
	for _, l := range d.HelpLevels {
		if l.Name == level {
			return l.Touch
		}
	}
	return false
}

// HasTouch reports whether any help level involves touching the child.
func (d *Document) HasTouch() bool {
	for _, l := range d.HelpLevels {
		if l.Touch {
			return true
		}
	}
	return false
}
