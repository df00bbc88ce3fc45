package say

import (
	"cmp"
	"slices"
	"strconv"

	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
)

// division is the latest sessions by person or by place: the same ones as those
// of the flag about a difference.
type division struct {
	key  string // "person" or "place"
	flag criterion.FlagKind
	*criterion.Breakdown
}

// divisionsOf returns both divisions of a reading. Their Breakdown is nil if
// the criterion has no share of trials to divide.
func divisionsOf(said criterion.Reading) []division {
	all := []division{
		{key: "person", flag: criterion.DiffersByPerson},
		{key: "place", flag: criterion.DiffersByPlace},
	}
	if said.Totals != nil {
		all[0].Breakdown, all[1].Breakdown = said.Totals.People, said.Totals.Places
	}
	return all
}

// name returns what a part of a division is called. people has the names of
// people by id.
func (d division) name(t *message.Printer, people map[string]string, part string) string {
	if d.key == "place" {
		return placeText(t, part)
	}
	return cmp.Or(people[part], t.Text("finding.unnamed_person"))
}

// when names the sessions by their number and dates.
func (d division) when(t *message.Printer) string {
	from, to := newel.NewDay(d.From.Year, d.From.Month, d.From.Day), newel.NewDay(d.To.Year, d.To.Month, d.To.Day)
	if from == to {
		return t.Text("finding.sessions_on", "n", len(d.Sessions), "day", t.DayShort(from))
	}
	return t.Text("finding.sessions_from", "n", len(d.Sessions), "from", t.DayShort(from), "to", t.DayShort(to))
}

// line returns the totals in one line, with the sessions they are of.
func (d division) line(t *message.Printer, people map[string]string) string {
	parts := make([]string, len(d.Parts))
	for i, p := range d.Parts {
		parts[i] = t.Text("check.share", "name", d.name(t, people, p.Name), "result", t.OutOf(p.Correct, p.Trials))
	}
	return t.Text("finding.totals", "sessions", d.when(t), "parts", t.List(parts))
}

// findings returns what the flag about this difference is based on, if it is
// raised: the totals, or those of each target that raised it where targets are
// mastered individually.
func (d division) findings(t *message.Printer, stay view.Stay, people map[string]string, on shownOn) []view.Finding {
	if _, raised := stay.Said.Flag(d.flag); !raised {
		return nil
	}
	if d.Breakdown != nil {
		return []view.Finding{d.finding(finder{t: t, stay: stay, on: on}, people)}
	}
	var out []view.Finding
	for _, part := range d.byTarget(stay) {
		found := part.finding(finder{t, part.stay, on, strconv.Itoa(part.n) + "-"}, people)
		found.Text = t.Text("finding.target", "target", part.target, "text", found.Text)
		out = append(out, found)
	}
	return out
}

// targetDivision is the division of one target's sessions.
type targetDivision struct {
	division
	stay   view.Stay
	target string // its name
	n      int    // its number, from 1
}

// byTarget returns the divisions of the targets that raised the flag, where
// targets are mastered individually.
func (d division) byTarget(stay view.Stay) []targetDivision {
	var out []targetDivision
	for i, target := range stay.Said.Targets {
		own := stay.OfTarget(target)
		for _, part := range divisionsOf(own.Said) {
			if part.key == d.key && part.Breakdown != nil && slices.Contains(target.Flags, d.flag) {
				out = append(out, targetDivision{part, own, stay.TargetName(target.Target), i + 1})
			}
		}
	}
	return out
}

// finding returns the totals as a finding that opens to the sessions of each
// part.
func (d division) finding(f finder, people map[string]string) view.Finding {
	t, stay := f.t, f.stay
	var groups []view.FindingGroup
	if list := stay.WithIDs(d.Sessions); len(list) == len(d.Sessions) {
		for _, p := range d.Parts {
			own := slices.DeleteFunc(slices.Clone(list), func(r view.Recorded) bool { return d.part(r) != p.Name })
			groups = append(groups, view.FindingGroup{Name: d.name(t, people, p.Name), Sessions: sessionsOf(t, own, stay.Worth)})
		}
	}
	return f.found("by-"+d.key, d.line(t, people)+".", t.Text("finding.differs_rule"), groups...)
}

// part returns the name of the part that a session belongs to: a person's id, or
// a place.
func (d division) part(r view.Recorded) string {
	if d.key == "place" {
		return r.Of.Place
	}
	return r.Of.By
}

// peopleOf returns the names of the people who taught, by their ids.
func peopleOf(stay view.Stay) map[string]string {
	people := map[string]string{}
	for _, r := range stay.Sessions {
		people[r.Of.By] = r.By
	}
	return people
}

// splitsOf divides the placement's sessions by person and by place, where there
// is more than one: the sessions that a flag about a difference would look at,
// or all of them if the criterion has no share of trials to compare.
func splitsOf(t *message.Printer, c view.Timeline, stay view.Stay) []view.Split {
	var splits []view.Split
	for _, d := range divisionsOf(stay.Said) {
		split := view.Split{Key: d.key, Heading: t.Text("progress.by_" + d.key), Sub: t.Text("progress.split_sub", "axis", stay.Axis())}
		people := peopleOf(stay)
		if d.Breakdown == nil {
			split.Parts = c.SplitBy(d.part, nil)
		} else {
			split.Parts = c.SplitBy(d.part, d.Sessions)
			split.Sub = t.Text("progress.split_totals", "sessions", d.when(t), "axis", stay.Axis())
		}
		if len(split.Parts) < 2 {
			continue
		}
		if d.Breakdown != nil {
			slices.SortStableFunc(split.Parts, func(a, b view.SplitPart) int { return cmp.Compare(d.at(a.Key), d.at(b.Key)) })
		}
		for i := range split.Parts {
			part := &split.Parts[i]
			part.Name = d.name(t, people, part.Key)
			if d.Breakdown != nil {
				part.Total = d.total(t, part.Key)
			}
		}
		if f, is := stay.Said.Flag(d.flag); is {
			split.Flag = t.FlagReason(string(d.flag), len(f.Sessions))
			split.Findings = d.findings(t, stay, people, shownOn{})
		}
		splits = append(splits, split)
	}
	return splits
}

// total returns the totals of the part with this name.
func (d division) total(t *message.Printer, name string) string {
	at := d.at(name)
	if at < 0 {
		return ""
	}
	return t.OutOf(d.Parts[at].Correct, d.Parts[at].Trials)
}

// at returns the index of the part with this name, or -1.
func (d division) at(name string) int {
	return slices.IndexFunc(d.Parts, func(p criterion.BreakdownPart) bool { return p.Name == name })
}
