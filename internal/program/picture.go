package program

import (
	"slices"

	"newel/internal/newel"
)

// Target returns the step's target with the key, or nil.
func (s *Step) Target(key string) *Target {
	for i := range s.Targets {
		if s.Targets[i].Key == key {
			return &s.Targets[i]
		}
	}
	return nil
}

// TargetsNamed returns the targets with that name on every step.
func (d *Document) TargetsNamed(name string) (list []*Target) {
	for i := range d.Strands {
		for j := range d.Strands[i].Steps {
			step := &d.Strands[i].Steps[j]
			for k := range step.Targets {
				if step.Targets[k].Name == name {
					list = append(list, &step.Targets[k])
				}
			}
		}
	}
	return list
}

// Pictures returns the distinct pictures of the step and its targets.
func (s *Step) Pictures() []newel.PictureRef { return s.picturesWith(nil) }

// PicturesOf returns the distinct pictures that a session of the step may show:
// its own and those of interspersed known targets.
func (d *Document) PicturesOf(s *Step) []newel.PictureRef { return s.picturesWith(d.Known(s)) }

func (s *Step) picturesWith(known []Target) []newel.PictureRef {
	var out []newel.PictureRef
	seen := map[string]bool{}
	add := func(p *newel.PictureRef) {
		if p != nil && !seen[p.SHA256] {
			seen[p.SHA256] = true
			out = append(out, *p)
		}
	}
	add(s.Picture)
	for _, t := range slices.Concat(s.Targets, known) {
		add(t.Picture)
	}
	return out
}
