package criterion

import (
	"cmp"
	"slices"
	"strings"
)

// Totals are the latest sessions by person and by place: the same sessions as
// those of DiffersByPerson and DiffersByPlace, whether or not these are raised.
type Totals struct {
	People *Breakdown `json:"people"`
	Places *Breakdown `json:"places"` // nil if no session has a place
}

// Breakdown divides sessions by name.
type Breakdown struct {
	Sessions []string `json:"sessions"` // ids, oldest first
	From     Date     `json:"from"`     // least local date
	To       Date     `json:"to"`       // greatest local date
	// Parts has most sessions first, equal ones by name, and the empty name
	// last.
	Parts []BreakdownPart `json:"parts"`
}

// BreakdownPart is what the sessions of one name have together.
type BreakdownPart struct {
	Name     string `json:"name"` // who taught, or where
	Sessions int    `json:"sessions"`
	Correct  int    `json:"correct"` // as the criterion defines it
	Trials   int    `json:"trials"`  // scored
}

// totals returns nil for goals that have no share of trials to divide.
func (e *evaluation) totals() *Totals {
	if !e.dividesTrials() || len(e.stretch) == 0 {
		return nil
	}
	return &Totals{
		People: breakdownOf(latest(e.stretch, differSessions), byPerson),
		Places: breakdownOf(latest(e.placed(), differSessions), byPlace),
	}
}

func breakdownOf(list []*judged, name func(*judged) string) *Breakdown {
	if len(list) == 0 {
		return nil
	}
	b := &Breakdown{Sessions: ids(list)}
	first, final := list[0].day, list[0].day
	for _, j := range list {
		first, final = min(first, j.day), max(final, j.day)
		b.add(name(j), j)
	}
	b.From, b.To = dateOfDay(first), dateOfDay(final)
	slices.SortFunc(b.Parts, func(x, y BreakdownPart) int {
		if (x.Name == "") != (y.Name == "") {
			return strings.Compare(y.Name, x.Name)
		}
		return cmp.Or(cmp.Compare(y.Sessions, x.Sessions), strings.Compare(x.Name, y.Name))
	})
	return b
}

func (b *Breakdown) add(name string, j *judged) {
	at := slices.IndexFunc(b.Parts, func(p BreakdownPart) bool { return p.Name == name })
	if at < 0 {
		at = len(b.Parts)
		b.Parts = append(b.Parts, BreakdownPart{Name: name})
	}
	p := &b.Parts[at]
	p.Sessions++
	p.Correct += j.correct
	p.Trials += j.scored
}
