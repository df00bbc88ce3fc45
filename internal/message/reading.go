package message

import (
	"strings"

	"newel/internal/newel"
)

// Shortfall is something that a criterion still lacks: "sessions", "days",
// "people" or "places", how many there are and how many it takes.
type Shortfall struct {
	What       string
	Have, Need int
}

// Reading is what is said of a placement, as plain values.
type Reading struct {
	Status  string    // "gathering", "under_way", "met", "stalled", "idle"
	MetOn   newel.Day // when met
	Lacking []Shortfall
	Flags   []string // kinds, in their order
}

// Status names a status: too early to read, on the way, criterion met, needs a
// look, no sessions lately.
func (p *Printer) Status(status string) string { return p.Text("status." + status) }

// Flag names a flag, as in "not moving".
func (p *Printer) Flag(kind string) string { return p.Text("flag." + kind) }

// FlagReason says what a flag saw, as a sentence about the plan; sessions is
// on how many it rests.
func (p *Printer) FlagReason(kind string, sessions int) string {
	return p.Text("flag."+kind+".why", "n", sessions)
}

// OutOf writes "4 of 5".
func (p *Printer) OutOf(have, need int) string {
	return p.Text("number.of", "have", have, "need", need)
}

// Share writes "4 of 5 (80%)"; a percentage never stands alone.
func (p *Printer) Share(correct, of int) string {
	if of == 0 {
		return p.OutOf(correct, of)
	}
	return p.Text("number.share", "have", correct, "need", of, "percent", p.Percent(100*float64(correct)/float64(of)))
}

// Lacking says what is still missing, as in "2 of 3 sessions, 1 of 2 people".
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

// Reading says in one line how a placement stands: the status, with the day it
// was met, what it lacks, or the reasons to look.
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
