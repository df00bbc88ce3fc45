package view

import (
	"slices"
	"strconv"

	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/program"
)

// withTargets appends the targets in progress to a line, where each has its own
// criterion and not all are met.
func (s Stay) withTargets(line string) string {
	var now []string
	for _, t := range s.Said.Targets {
		if t.State == criterion.TargetTaught {
			now = append(now, s.target(t.Target))
		}
	}
	if len(now) == 0 {
		return line
	}
	return line + "; " + s.T.Text("target.now", "targets", s.T.List(now))
}

// Calling returns the Stay with the names of its targets.
func (s Stay) Calling(targets []program.Target) Stay {
	s.Names = map[string]string{}
	for _, t := range targets {
		s.Names[t.Key] = t.Name
	}
	return s
}

// TargetsLine returns how many targets are met and which are in progress; empty
// if they share a criterion.
func (s Stay) TargetsLine() string {
	if len(s.Said.Targets) == 0 {
		return ""
	}
	met := 0
	for _, t := range s.Said.Targets {
		if t.State == criterion.TargetMet {
			met++
		}
	}
	return s.withTargets(s.T.Text("lacking.targets", "have", met, "n", len(s.Said.Targets))) + "."
}

// TargetLines returns the status of each target.
func (s Stay) TargetLines() []string {
	var lines []string
	for _, t := range s.Said.Targets {
		name := s.target(t.Target)
		switch t.State {
		case criterion.TargetMet:
			lines = append(lines, s.T.Text("target.met", "target", name, "day", s.dayOf(t.MetBy)))
		case criterion.TargetWaiting:
			lines = append(lines, s.T.Text("target.waiting", "target", name))
		default:
			lacking := make([]message.Shortfall, len(t.Lacking))
			for i, l := range t.Lacking {
				lacking[i] = message.Shortfall{What: string(l.What), Have: l.Have, Need: l.Need}
			}
			text := s.T.Lacking(lacking)
			if t.Estimate == nil {
				lines = append(lines, s.T.Text("target.taught", "target", name, "lacking", text))
				continue
			}
			lines = append(lines, s.T.Text("target.taught_lately", "target", name, "lacking", text, "have", t.Estimate.Correct, "n", t.Estimate.Trials))
		}
	}
	return lines
}

// target returns a target's name; a deleted target has only its position.
func (s Stay) target(key string) string {
	if name := s.Names[key]; name != "" {
		return name
	}
	at := slices.IndexFunc(s.Said.Targets, func(t criterion.TargetReading) bool { return t.Target == key })
	return strconv.Itoa(at + 1)
}

func (s Stay) dayOf(id *string) string {
	for _, r := range s.Sessions {
		if id != nil && r.Of.ID == *id {
			return s.T.DayShort(r.Day)
		}
	}
	return ""
}

// metTargets lists the sessions at which targets were met, in order.
func (s Stay) metTargets() []string {
	var ids []string
	for _, r := range s.Said.Sessions {
		if slices.ContainsFunc(s.Said.Targets, func(t criterion.TargetReading) bool { return t.MetBy != nil && *t.MetBy == r.ID }) {
			ids = append(ids, r.ID)
		}
	}
	return ids
}

// LeftOut returns why a session does not count, in a word or two; empty if it
// does.
func (r Recorded) LeftOut(t *message.Printer) string {
	switch {
	case len(r.Unfit) > 0 && r.Read.Why == "unfit":
		what := make([]string, len(r.Unfit))
		for i, u := range r.Unfit {
			what[i] = t.Text("unfit." + u)
		}
		return t.Text("why.unfit_what", "what", t.List(what))
	case r.Read.Why != criterion.Counted:
		return t.Text("why." + string(r.Read.Why))
	}
	return ""
}
