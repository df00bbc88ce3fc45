package newel

import (
	"crypto/sha256"
	"encoding/binary"
	"strconv"
)

// KitFor is what a kit depends on beside the program and the learner.
type KitFor struct {
	Language string   // the family's, BCP 47
	Met      []string // keys of targets that are met, where they are mastered one by one
}

// MakeKit puts together what a phone needs to teach one placement, all but
// the people. Help that touches the child is left out unless it is allowed for
// this learner today, whatever it was when the program was assigned.
func MakeKit(p Placement, overrides map[string]StepOverride, l Learner, d *Document, to KitFor) Kit {
	strand, step := d.Step(p.StepKey)
	if step == nil {
		return Kit{} // cannot be: placements refer to steps of their version
	}
	own := step.With(overrides[p.StepKey])
	kit := Kit{
		Contract: KitContract, Placement: p.ID, Learner: l.Nickname, Program: d.Title, Role: strand.Role.Name,
		StepLabel: own.Label, StepName: own.Name, Say: own.Say, DoneWhen: own.DoneWhen, Context: own.Context,
		WaitSeconds: d.Procedure.WaitSeconds, HelpRule: d.Procedure.HelpRule, IfRight: d.Procedure.IfRight,
		IfNotYet: d.Procedure.IfNotYet, IfSaysNo: d.Procedure.IfSaysNo,
		Materials: listed(d.Materials), Cautions: d.Cautions, StopRule: d.StopRule,
		StopSigns: l.Care.StopSigns, Alerts: l.Care.Alerts,
		HelpLevels: []string{}, Measure: own.Measure, OneByOne: own.OneByOne(), Fits: own.Fits, Tokens: own.Tokens,
		Trials: own.Trials, Minutes: own.Minutes, Choices: own.Choices, People: []KitPerson{},
		Seed: orderSeed(p), Order: own.Order, Notice: own.Notice, Held: own.Held, Picture: own.Picture,
	}
	if own.WaitSeconds != nil {
		kit.WaitSeconds = *own.WaitSeconds
	}
	taught, met, _ := own.TargetsNow(to.Met)
	kit.Targets, kit.Known = named(taught, to.Language), named(d.knownCards(&own, met), to.Language)
	kit.say(d, step, own.Say, to.Language)
	for _, level := range d.HelpLevels {
		if !level.Touch || l.Care.TouchAllowed {
			kit.HelpLevels = append(kit.HelpLevels, level.Name)
			if level.Name == p.PlannedHelp {
				kit.PlannedHelp = level.Name
			}
		}
	}
	return kit
}

// orderSeed is drawn from what the placement is a stay on, so that every phone
// of the family and the server make the same order.
func orderSeed(p Placement) string {
	sum := sha256.Sum256([]byte("trial order " + p.ID.String() + " " + p.VersionID.String()))
	return strconv.FormatUint(binary.BigEndian.Uint64(sum[:8]), 10)
}
