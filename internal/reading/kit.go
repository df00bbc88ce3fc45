package reading

import (
	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/program"
)

// KitOf returns the kit of a placement for the phone of one account.
func KitOf(t Taught, people []newel.Person, self newel.AccountID) program.Kit {
	p := newel.Placement{ID: t.PlacementID, VersionID: t.VersionID, StepKey: t.StepKey, PlannedHelp: t.PlannedHelp}
	kit := program.MakeKit(p, t.Overrides, t.Learner(), &t.Document, program.KitFor{Language: t.Language, Met: t.Met})
	for _, person := range people {
		kit.People = append(kit.People, program.KitPerson{ID: person.ID, Name: person.Name})
		if person.Account != nil && *person.Account == self {
			id := person.ID
			kit.Self = &id
		}
	}
	return kit
}

// OfferOf returns a placement as a phone's day offers it, given its sessions so
// far and the kind that a supervisor planned next, or empty.
func OfferOf(t Taught, tally program.SessionTally, planned criterion.Kind) program.DayOffer {
	o := program.DayOffer{
		Assignment: t.AssignmentID, Placement: t.PlacementID, Title: t.Document.Title, Note: t.Note, NoteBy: t.NoteBy, NoteOn: t.NoteOn, Steps: []program.DayStep{},
		Said: append([]newel.Said{}, t.Said...), Lifted: t.Lifted,
		Kinds: []criterion.Kind{criterion.Teaching},
	}
	strand, step := t.Document.Step(t.StepKey)
	if step == nil {
		return o
	}
	own := step.With(t.Overrides[t.StepKey])
	o.Kinds = own.KindsAhead(tally, planned)
	o.Role, o.Step, o.Trials, o.Minutes = strand.Role.Name, own.Name, own.Trials, own.Minutes
	for i, s := range strand.Steps {
		o.Steps = append(o.Steps, program.DayStep{Label: s.Label, Help: s.PlannedHelp != ""})
		if s.Key == t.StepKey {
			o.Here = i
		}
	}
	return o
}
