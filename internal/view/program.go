package view

import (
	"net/url"
	"slices"
	"strings"

	"newel/internal/chart"
	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/program"
)

// Flight is one run of stairs with its list of steps.
type Flight struct {
	Role, Text string
	Stair      Stair
	Steps      []StepText
	OpensAfter []string    // roles that must have advanced far enough first
	Lists      []RoleSteps // of a joined drawing
}

// Joined draws two roles as two flights that meet at a landing, with their
// shared steps above it. Any other number of roles, and strands that wait for
// only one role, remain separate flights.
func Joined(list []Flight) []Flight {
	if len(list) < 2 || len(list) > 3 || len(list) == 3 && len(list[2].OpensAfter) < 2 {
		return list
	}
	one := Flight{Stair: Stair{Roles: []string{list[0].Role, list[1].Role}}}
	one.Stair.Breakdown.First, one.Stair.Breakdown.Second = list[0].Stair.Breakdown.First, list[1].Stair.Breakdown.First
	if len(list) == 3 {
		one.Stair.Breakdown.Joint = list[2].Stair.Breakdown.First
	}
	for _, f := range list {
		one.Stair.Name += f.Role + ": " + f.Stair.Name + " "
		one.Lists = append(one.Lists, RoleSteps{Role: f.Role, Text: f.Text, Steps: f.Steps})
	}
	return []Flight{one}
}

// opensAfter names the strands whose steps must be mastered first.
func opensAfter(opens []program.Opening) []string {
	var keys []string
	for _, o := range opens {
		if !slices.Contains(keys, o.Strand) {
			keys = append(keys, o.Strand)
		}
	}
	return keys
}

// NewFlight returns the flight of a strand without steps.
func NewFlight(s program.Strand) Flight {
	return Flight{Role: s.Role.Name, Text: s.Role.Actions, OpensAfter: opensAfter(s.Opens)}
}

// DocumentFlights draws a program's stairs as a plan: no step is mastered, and
// learners are named below their step.
func DocumentFlights(t *message.Printer, d *program.Document, learners []ProgramLearner) []Flight {
	var out []Flight
	for _, s := range d.Strands {
		f := NewFlight(s)
		for _, step := range s.Steps {
			f.Stair.Breakdown.First = append(f.Stair.Breakdown.First, chart.Step{Help: step.PlannedHelp != "", Label: step.Label})
			text := StepText{Code: step.Label, Text: step.Name, Href: "#step-" + step.Key}
			var here []string
			for _, l := range learners {
				if l.StepKey == step.Key {
					here = append(here, l.Name)
				}
			}
			text.State = strings.Join(here, ", ")
			f.Steps = append(f.Steps, text)
		}
		f.Stair.Name = t.Text("read.n_steps", "n", len(s.Steps))
		out = append(out, f)
	}
	return out
}

// CriterionText returns the step's criterion in canonical words; the trade's
// shorthand is never shown.
func CriterionText(d *program.Document, step program.Step) string {
	c, err := criterion.Parse(step.Criterion, d.Vocabulary(&step))
	if err != nil {
		return step.Criterion
	}
	return c.String()
}

func openings(d *program.Document, opens []program.Opening) string {
	names := make([]string, len(opens))
	for i, o := range opens {
		names[i] = d.StepTitle(o.Step)
	}
	return strings.Join(names, ", ")
}

func (m ProgramPage) reader() programReader {
	return programReader{t: m.T, d: m.Document, own: m.Own}
}

// opened returns this page with every step expanded, or none.
func (m ProgramPage) opened(steps string) string {
	to, err := url.Parse(m.Here)
	if err != nil { // the address was built here
		return href.Program.To(m.ID)
	}
	q := to.Query()
	if q.Del("steps"); steps != "" {
		q.Set("steps", steps)
	}
	to.RawQuery = q.Encode()
	return to.String() + "#steps"
}

// under returns the text below a step's name: its phase, its session plan and
// the learners on it.
func (m ProgramPage) under(s program.Step) []string {
	var parts []string
	for _, part := range []string{s.Phase, sessionPlan(m.T, "read.trials", s)} {
		if part != "" {
			parts = append(parts, part)
		}
	}
	for _, l := range m.Learners {
		if l.StepKey == s.Key {
			parts = append(parts, l.Name)
		}
	}
	if _, own := m.Own[s.Key]; own {
		parts = append(parts, m.T.Text("read.has_own"))
	}
	return parts
}

func (m ProgramPage) stepNames(keys []string) string {
	names := make([]string, len(keys))
	for i, key := range keys {
		names[i] = m.Document.StepTitle(key)
	}
	return m.T.List(names)
}

// sessionPlan describes a session of a step. The key trials counts trials in a
// clinician's word or in a family's.
func sessionPlan(t *message.Printer, trials string, s program.Step) string {
	var parts []string
	if s.Trials > 0 {
		parts = append(parts, t.Text(trials, "n", s.Trials))
	}
	if s.Minutes > 0 {
		parts = append(parts, t.Text("read.about_minutes", "n", s.Minutes))
	}
	if s.PlannedHelp != "" {
		parts = append(parts, t.Text("read.with_help", "help", s.PlannedHelp))
	}
	return t.List(parts)
}
