package program

import (
	"maps"
	"slices"
	"strconv"
)

// maxParts limits how many steps a step can be split into at once.
const maxParts = 20

// Clone returns a deep copy of the step with the same keys.
func (s *Step) Clone() Step {
	c := *s
	c.Targets, c.Expectations = slices.Clone(s.Targets), slices.Clone(s.Expectations)
	for i := range c.Targets {
		c.Targets[i].In = maps.Clone(c.Targets[i].In)
		c.Targets[i].Picture = cloned(c.Targets[i].Picture)
	}
	for i := range c.Expectations {
		c.Expectations[i].In = maps.Clone(c.Expectations[i].In)
	}
	c.Picture, c.WaitSeconds = cloned(s.Picture), cloned(s.WaitSeconds)
	c.Order.Known, c.Rules.Off = slices.Clone(s.Order.Known), slices.Clone(s.Rules.Off)
	c.SayIn = maps.Clone(s.SayIn)
	c.Examples, c.NonExamples = slices.Clone(s.Examples), slices.Clone(s.NonExamples)
	return c
}

func cloned[T any](p *T) *T {
	if p == nil {
		return nil
	}
	c := *p
	return &c
}

// Fresh returns a copy with new keys: a different step with the same content.
func (s *Step) Fresh() Step {
	c := s.Clone()
	c.Key = NewKey()
	for i := range c.Targets {
		c.Targets[i].Key = NewKey()
	}
	for i := range c.Expectations {
		c.Expectations[i].Key = NewKey()
	}
	return c
}

// Clone returns a deep copy of the document with the same keys.
func (d *Document) Clone() Document {
	c := *d
	c.Prerequisites = slices.Clone(d.Prerequisites)
	for i := range c.Prerequisites {
		c.Prerequisites[i].Program = cloned(c.Prerequisites[i].Program)
	}
	c.Materials, c.HelpLevels = slices.Clone(d.Materials), slices.Clone(d.HelpLevels)
	c.Needs, c.Teaches = slices.Clone(d.Needs), slices.Clone(d.Teaches)
	c.Checklist, c.MaintenanceWeeks = slices.Clone(d.Checklist), slices.Clone(d.MaintenanceWeeks)
	c.Difficulties = slices.Clone(d.Difficulties)
	for i := range c.Difficulties {
		c.Difficulties[i].Steps = slices.Clone(c.Difficulties[i].Steps)
	}
	c.Procedure.SayIn, c.Unparsed = maps.Clone(d.Procedure.SayIn), maps.Clone(d.Unparsed)
	c.Strands = slices.Clone(d.Strands)
	for i := range c.Strands {
		s := &c.Strands[i]
		s.Opens, s.Steps = slices.Clone(s.Opens), slices.Clone(s.Steps)
		for j := range s.Steps {
			s.Steps[j] = s.Steps[j].Clone()
		}
	}
	return c
}

// place returns the strand of a step and the step's index in it.
func (d *Document) place(key string) (*Strand, int) {
	strand, _ := d.Step(key)
	if strand == nil {
		return nil, -1
	}
	return strand, slices.IndexFunc(strand.Steps, func(s Step) bool { return s.Key == key })
}

// freeLabel returns the label, or if a step of the strand already has it, the
// label with the first free number appended.
func (s *Strand) freeLabel(label string) string {
	taken := func(l string) bool {
		return slices.ContainsFunc(s.Steps, func(t Step) bool { return t.Label == l })
	}
	for n, free := 2, label; ; n++ {
		if !taken(free) {
			return free
		}
		free = label + "-" + strconv.Itoa(n)
	}
}

// InsertSteps inserts steps into the strand after the given step, or first if
// the key is empty. Labels already in use get a number. It reports whether the
// position exists.
func (d *Document) InsertSteps(strand, after string, steps ...Step) bool {
	s := d.Strand(strand)
	if s == nil {
		return false
	}
	at := 0
	if after != "" {
		at = 1 + slices.IndexFunc(s.Steps, func(t Step) bool { return t.Key == after })
		if at == 0 {
			return false
		}
	}
	for i, step := range steps {
		if step.Label != "" {
			step.Label = s.freeLabel(step.Label)
		}
		s.Steps = slices.Insert(s.Steps, at+i, step)
	}
	return true
}

// CopyStep inserts a copy of a step after it and returns the copy's key, or ""
// if there is no such step.
func (d *Document) CopyStep(key string) string {
	strand, at := d.place(key)
	if strand == nil {
		return ""
	}
	c := strand.Steps[at].Fresh()
	d.InsertSteps(strand.Key, key, c)
	return c.Key
}

// SplitStep replaces a step with the given number of smaller steps and returns
// their keys; nil if there is no such step or parts is less than two. All of
// them are new, so that recordings stay with the old step only. What waited for
// the old step waits for the last new one.
func (d *Document) SplitStep(key string, parts int) []string {
	strand, at := d.place(key)
	if strand == nil || parts < 2 || parts > maxParts {
		return nil
	}
	old := strand.Steps[at]
	steps, keys := make([]Step, parts), make([]string, parts)
	for i := range steps {
		steps[i] = old.Fresh()
		if old.Label != "" {
			steps[i].Label += string(rune('a' + i))
		}
		keys[i] = steps[i].Key
	}
	d.InsertSteps(strand.Key, key, steps...)
	d.replaceStep(key, keys)
	strand.Steps = slices.Delete(strand.Steps, at, at+1)
	return keys
}

// replaceStep redirects references from the step to its replacements.
func (d *Document) replaceStep(key string, by []string) {
	for i := range d.Strands {
		for j := range d.Strands[i].Opens {
			if o := &d.Strands[i].Opens[j]; o.Step == key {
				o.Step = by[len(by)-1]
			}
		}
	}
	for i := range d.Difficulties {
		x := &d.Difficulties[i]
		if at := slices.Index(x.Steps, key); at >= 0 {
			x.Steps = slices.Replace(slices.Clone(x.Steps), at, at+1, by...)
		}
	}
	d.replaceTaughtStep(key, by[len(by)-1])
}

// PlaceStep moves a step after the given one, which may be in a different
// strand, or first in the strand if the key is empty. What waited for it still
// does. It reports whether the step and the position exist.
func (d *Document) PlaceStep(key, strand, after string) bool {
	from, at := d.place(key)
	to := d.Strand(strand)
	if from == nil || to == nil || after == key {
		return false
	}
	if after != "" && !slices.ContainsFunc(to.Steps, func(s Step) bool { return s.Key == after }) {
		return false
	}
	step := from.Steps[at]
	from.Steps = slices.Delete(from.Steps, at, at+1)
	d.InsertSteps(strand, after, step)
	for i := range d.Strands {
		for j := range d.Strands[i].Opens {
			if o := &d.Strands[i].Opens[j]; o.Step == key {
				o.Strand = strand
			}
		}
	}
	return true
}

// MoveStrand moves a strand by the given number of positions, at most to an
// end.
func (d *Document) MoveStrand(key string, by int) {
	from := slices.IndexFunc(d.Strands, func(s Strand) bool { return s.Key == key })
	if from < 0 {
		return
	}
	to := min(max(from+by, 0), len(d.Strands)-1)
	strand := d.Strands[from]
	d.Strands = slices.Insert(slices.Delete(d.Strands, from, from+1), to, strand)
}
