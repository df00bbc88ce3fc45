package program

import (
	"slices"
	"strconv"
	"strings"
)

// Blank returns the document of a new program: one strand with one empty step.
func Blank(title string) Document {
	d := Document{Format: DocumentFormat, Title: title}
	d.AddStep(d.AddStrand())
	return d
}

// AddStrand adds an empty strand and returns its key.
func (d *Document) AddStrand() string {
	key := NewKey()
	d.Strands = append(d.Strands, Strand{Key: key})
	return key
}

// AddStep appends a step to the strand and returns its key, or "" if there is
// no such strand. It copies what usually stays the same from the preceding
// step.
func (d *Document) AddStep(strand string) string {
	s := d.Strand(strand)
	if s == nil {
		return ""
	}
	after := ""
	if n := len(s.Steps); n > 0 {
		after = s.Steps[n-1].Key
	}
	return d.AddStepAfter(strand, after)
}

// AddStepAfter is like AddStep but inserts after the given step; an empty key
// inserts first. The new step gets the next label, unless a step of the strand
// already has it.
func (d *Document) AddStepAfter(strand, after string) string {
	step := Step{Key: NewKey(), Measure: MeasureTrials}
	if in, last := d.Step(after); last != nil {
		step.Measure, step.Trials, step.Minutes, step.Criterion = last.Measure, last.Trials, last.Minutes, last.Criterion
		if next := NextLabel(last.Label); in.freeLabel(next) == next {
			step.Label = next
		}
	}
	if !d.InsertSteps(strand, after, step) {
		return ""
	}
	return step.Key
}

// NextLabel returns the label after label, such as U2 after U1, or "" if it
// does not end in a number.
func NextLabel(label string) string {
	letters := strings.TrimRight(label, "0123456789")
	n, err := strconv.Atoi(label[len(letters):])
	if err != nil || n >= maxSteps*10 {
		return ""
	}
	return letters + strconv.Itoa(n+1)
}

// Strand returns the strand with the key, or nil.
func (d *Document) Strand(key string) *Strand {
	for i := range d.Strands {
		if d.Strands[i].Key == key {
			return &d.Strands[i]
		}
	}
	return nil
}

// RemoveStep removes a step, along with openings that depend on it and
// references to it in difficulties.
func (d *Document) RemoveStep(key string) {
	strand, _ := d.Step(key)
	if strand == nil {
		return
	}
	strand.Steps = slices.DeleteFunc(strand.Steps, func(s Step) bool { return s.Key == key })
	for i := range d.Strands {
		d.Strands[i].Opens = slices.DeleteFunc(d.Strands[i].Opens, func(o Opening) bool { return o.Step == key })
	}
	for i := range d.Difficulties {
		d.Difficulties[i].Steps = slices.DeleteFunc(d.Difficulties[i].Steps, func(s string) bool { return s == key })
	}
	d.replaceTaughtStep(key, "")
}

// RemoveStrand removes a strand and its steps.
func (d *Document) RemoveStrand(key string) {
	strand := d.Strand(key)
	if strand == nil {
		return
	}
	for _, s := range slices.Clone(strand.Steps) {
		d.RemoveStep(s.Key)
	}
	d.Strands = slices.DeleteFunc(d.Strands, func(s Strand) bool { return s.Key == key })
}

// MoveStep moves a step by the given number of positions within its strand, at
// most to an end.
func (d *Document) MoveStep(key string, by int) {
	strand, _ := d.Step(key)
	if strand == nil {
		return
	}
	from := slices.IndexFunc(strand.Steps, func(s Step) bool { return s.Key == key })
	to := min(max(from+by, 0), len(strand.Steps)-1)
	step := strand.Steps[from]
	strand.Steps = slices.Insert(slices.Delete(strand.Steps, from, from+1), to, step)
}

// CarryFrom copies what a Sheet does not show, and the keys of unchanged items,
// from an earlier state of the same document.
func (d *Document) CarryFrom(before *Document) {
	for i := range d.Prerequisites {
		p := &d.Prerequisites[i]
		for _, q := range before.Prerequisites {
			if q.Text == p.Text {
				p.Key, p.Program = q.Key, q.Program
			}
		}
	}
	for i := range d.Strands {
		for j := range d.Strands[i].Steps {
			step := &d.Strands[i].Steps[j]
			if _, old := before.Step(step.Key); old != nil {
				step.carryFrom(old)
			}
		}
	}
}

func (s *Step) carryFrom(before *Step) {
	s.Picture = before.Picture
	for i := range s.Targets {
		for _, t := range before.Targets {
			if t.Name == s.Targets[i].Name {
				s.Targets[i].Key, s.Targets[i].Card, s.Targets[i].Picture = t.Key, t.Card, t.Picture
			}
		}
	}
	for i := range s.Expectations {
		for _, e := range before.Expectations {
			if e.Name == s.Expectations[i].Name {
				s.Expectations[i].Key = e.Key
			}
		}
	}
}
