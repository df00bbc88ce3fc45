package message

import (
	"strings"

	"newel/internal/newel"
)

// Shortfall is something that a criterion still lacks ("sessions", "days",
// "people" or "places"), with how many there are and how many are needed.
type Shortfall struct {
	What       string
	Have, Need int
}

// Reading is the status of a placement as plain values.
type Reading struct {
	Status  string    // "gathering", "under_way", "met", "stalled", "idle"
	MetOn   newel.Day // if met
	Lacking []Shortfall
	Flags   []string // kinds, in order
}

// Status returns the name of a status, such as "criterion met".
func (p *Printer) Status(status string) string { return p.Text("status." + status) }

// Flag returns the name of a flag, such as "no progress".
func (p *Printer) Flag(kind string) string { return p.Text("flag." + kind) }

// FlagReason returns what a flag is about, as a sentence about the plan;
// sessions is how many it is based on.
func (p *Printer) FlagReason(kind string, sessions int) string {
	return p.Text("flag."+kind+".why", "n", sessions)
}

// OutOf returns "4 of 5".
func (p *Printer) OutOf(have, need int) string {
	return p.Text("number.of", "have", have, "need", need)
}

// Lacking returns what is still missing, as in "2 of 3 sessions, 1 of 2
// people".
func (p *Printer) Lacking(list []Shortfall) string {
	parts := make([]string, len(list))
	for i, l := range list {
		parts[i] = p.Text("lacking."+l.What, "have", l.Have, "n", l.Need)
	}
	return p.List(parts)
}

// List joins a few short texts.
func (p *Printer) List(parts []string) string {
	return strings.Join(parts, p.Text("list.comma"))
}

// Reading summarizes a placement in one line: the status, with the day it was
// met, what it lacks, or the reasons to look.
func (p *Printer) Reading(r Reading) string {
	status := p.Status(r.Status)
	detail := ""
	switch {
	case r.Status == "met" && !r.MetOn.IsZero():
		detail = p.Day(r.MetOn)
	case r.Status == "stalled":
		detail = p.flags(r.Flags)
	case r.Status == "gathering" || r.Status == "under_way":
		detail = p.Lacking(r.Lacking)
	}
	if detail == "" {
		return status
	}
	return p.Text("reading.line", "status", status, "detail", detail)
}

func (p *Printer) flags(kinds []string) string {
	names := make([]string, len(kinds))
	for i, kind := range kinds {
		names[i] = p.Flag(kind)
	}
	return p.List(names)
}
