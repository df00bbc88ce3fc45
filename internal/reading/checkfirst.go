package reading

import (
	"slices"
	"time"

	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/timezone"
)

// CheckFirst is the evidence in a row's latest sessions about the usual causes.
// Unknown fields are empty. (Check first: integrity, motivation, prerequisites,
// prompt, materials: common practice.)
type CheckFirst struct {
	Sessions      int // number of sessions it is based on
	SaidNo        int // trials that the child declined,
	Offered       int // trials offered
	StoppedEarly  int // sessions ended for distress
	Alone         int // trials independent, prompted, incorrect, without a response
	Helped        int
	NotYet        int
	NoResponse    int
	People        []Share // independent among scored trials, by person
	Places        []Share
	Hours         []Share // Name is morning, afternoon or evening
	Prerequisites []program.Prerequisite
	Needs         []NeededSkill
	Reinforcing   string
	Fidelity      *newel.LatestFidelity // nil if there is no fidelity check
}

// NeededSkill is a skill that the program needs, and the latest evidence about
// it for the learner, or "" if there is none.
type NeededSkill struct {
	Name   string
	Status newel.SkillStatus
}

// Share is a part of a whole.
type Share struct {
	Name        string
	Correct, Of int
}

// CheckFirst summarizes what the row's latest sessions show.
func (i CaseloadItem) CheckFirst() CheckFirst {
	c := CheckFirst{Prerequisites: i.Detail.Prerequisites, Reinforcing: i.Detail.Reinforcing, Fidelity: i.Detail.Fidelity}
	for _, name := range i.Detail.Needs {
		c.Needs = append(c.Needs, NeededSkill{name, i.Detail.Skills[newel.FoldSkill(name)]})
	}
	zone := timezone.OrUTC(i.TimeZone)
	for _, s := range i.Sessions {
		if s.Void {
			continue
		}
		c.Sessions++
		if s.Of.EndedEarly == "distress" {
			c.StoppedEarly++
		}
		right, scored := measure.Tally(s.Of.Trials, measure.Scale(i.Detail.HelpLevels), 0)
		c.People = shared(c.People, s.ByName, right, scored)
		c.Places = shared(c.Places, s.Of.Place, right, scored)
		c.Hours = shared(c.Hours, hourOf(s.Of.StartedAt.In(zone)), right, scored)
		c.count(s.Of.Trials)
	}
	return c
}

func (c *CheckFirst) count(trials []measure.Trial) {
	for _, t := range trials {
		if t.Void || t.Outcome == measure.NoChance {
			continue
		}
		c.Offered++
		switch {
		case t.Outcome == measure.Declined:
			c.SaidNo++
		case t.Outcome == measure.Correct && t.Help == "":
			c.Alone++
		case t.Outcome == measure.Correct:
			c.Helped++
		case t.Outcome == measure.NoResponse:
			c.NoResponse++
		default:
			c.NotYet++
		}
	}
}

// hourOf returns the part of the day.
func hourOf(t time.Time) string {
	switch h := t.Hour(); {
	case h < 12:
		return "morning"
	case h < 17:
		return "afternoon"
	}
	return "evening"
}

func shared(list []Share, name string, correct, of int) []Share {
	if name == "" || of == 0 {
		return list
	}
	at := slices.IndexFunc(list, func(s Share) bool { return s.Name == name })
	if at < 0 {
		return append(list, Share{name, correct, of})
	}
	list[at].Correct += correct
	list[at].Of += of
	return list
}
