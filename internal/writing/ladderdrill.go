package writing

import (
	"slices"
	"strconv"

	"newel/internal/program"
)

// The phases of discrete trials, as in program.Phases.
const (
	phaseMassed      = "massed trials"
	phaseDistractors = "massed trials with distractors"
	phaseBlocks      = "blocks"
	phaseRotation    = "random rotation"
	phaseTeaching    = "teaching"
	phaseSpread      = "generalization"
)

// The rules of program.Order.
const (
	orderMassed   = "massed"
	orderBlocked  = "blocked"
	orderRotation = "rotation"
)

// defaultChoices is the number of items once there are distractors: with three
// in changing positions, a guess is correct one time in three (common
// practice).
const defaultChoices = 3

// DefaultBlocks lists block lengths before the order becomes random (common
// practice).
var DefaultBlocks = []int{10, 5, 3, 1}

// Massed returns massed trials of one target, first alone and then with
// distractors.
func (l Ladder) Massed(target string) []program.Step { return l.finish(l.massed(target)) }

func (l Ladder) massed(target string) []program.Step {
	alone := l.blank(target+", nothing else there", phaseMassed)
	alone.Targets, alone.Order, alone.Choices = l.targets(target), program.Order{Rule: orderMassed}, 0
	alone.Fits.Materials = "only " + target
	alone.Criterion = l.percent(80, oneRun)

	among := l.blank(target+", with other things there", phaseDistractors)
	among.Targets, among.Order = l.targets(target), program.Order{Rule: orderMassed}
	among.Choices = max(l.Pattern.Choices, defaultChoices)
	among.Fits.Materials = target + " and other things, in places that change"
	among.Criterion = l.percent(80, oneRun)
	return []program.Step{alone, among}
}

// Next teaches one more target in addition to those already met: alone, then
// with the others present, then all in random rotation.
func (l Ladder) Next(target string, met []string) []program.Step {
	steps := l.massed(target)
	steps[1].Name = target + ", with what is known there"
	steps[1].Fits.Materials = target + " with " + listed(met) + ", in places that change"
	return l.finish(append(steps, l.rotation(append(slices.Clone(met), target))))
}

// Blocks teaches targets in alternating blocks of decreasing length.
func (l Ladder) Blocks(names []string, lengths []int) []program.Step {
	return l.finish(l.blocks(names, lengths))
}

func (l Ladder) blocks(names []string, lengths []int) []program.Step {
	var steps []program.Step
	for _, n := range lengths {
		s := l.blank(listed(names)+", "+strconv.Itoa(n)+" of each at a time", phaseBlocks)
		if n == 1 {
			s.Name = listed(names) + ", by turns"
		}
		s.Targets, s.Order = l.targets(names...), program.Order{Rule: orderBlocked, Block: n}
		s.Choices = max(l.Pattern.Choices, len(names))
		s.Trials = max(l.trials(), n*len(names))
		s.Criterion = l.percent(80, oneRun)
		steps = append(steps, s)
	}
	return steps
}

// Rotation mixes targets in random order.
func (l Ladder) Rotation(names []string) []program.Step {
	return l.finish([]program.Step{l.rotation(names)})
}

func (l Ladder) rotation(names []string) program.Step {
	s := l.blank(listed(names)+", in mixed order", phaseRotation)
	s.Targets, s.Order = l.targets(names...), program.Order{Rule: orderRotation, MaxSame: 2}
	s.Choices = max(l.Pattern.Choices, min(len(names), defaultChoices))
	s.Trials = max(l.trials(), 2*len(names))
	s.Criterion = l.percent(80, atEnd)
	return s
}

// Discrimination returns the whole series for discriminating targets: the first
// alone and among distractors, each further one likewise, blocks of decreasing
// length, and random rotation of all so far.
func (l Ladder) Discrimination(names []string, lengths []int) []program.Step {
	var steps []program.Step
	for i, name := range names {
		steps = append(steps, l.massed(name)...)
		if i == 0 {
			continue
		}
		so := names[:i+1]
		if i == 1 {
			steps = append(steps, l.blocks(so, lengths)...)
		}
		steps = append(steps, l.rotation(so))
	}
	return l.finish(steps)
}
