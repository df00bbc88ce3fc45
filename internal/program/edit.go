package program

import (
	"slices"
	"strconv"
	"strings"
)

// Blank is the document of a program that has just been begun: one strand
// with one empty step.
func Blank(title string) Document {
	d := Document{Format: DocumentFormat, Title: title}
	d.AddStep(d.AddStrand())
	return d
}

// AddStrand adds an empty strand and gives its key.
func (d *Document) AddStrand() string {
	key := NewKey()
	d.Strands = append(d.Strands, Strand{Key: key})
	return key
}

// AddStep adds a step at the end of the strand and gives its key, or "" if
// there is no such strand. What usually stays the same from stair to stair is
// taken over from the step before.
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

// AddStepAfter is AddStep behind the step named; an empty key puts the new one
// first. It gets the label that follows, if no step of the strand has that.
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

// NextLabel is the label that follows another one: U2 after U1. It is empty
// where that does not end in a number.
func NextLabel(label string) string {
	letters := strings.TrimRight(label, "0123456789")
	n, err := strconv.Atoi(label[len(letters):])
	if err != nil || n >= maxSteps*10 {
		return ""
	}
	return letters + strconv.Itoa(n+1)
}

// Strand gives the strand with the key, or nil.
func (d *Document) Strand(key string) *Strand {
	for i := range d.Strands {
		if d.Strands[i].Key == key {
			return &d.Strands[i]
		}
	}
	return nil
}

// RemoveStep takes a step out. Openings that waited for it go with it, and so
// does what difficulties say of it.
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

// RemoveStrand takes a strand and its steps out.
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

// MoveStep moves a step by so many places within its strand; past an end it
// stays at the end.
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

// CarryFrom takes over from an earlier state of the same document what a
// Sheet does not show, and the keys of things that are still the same.
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
}
