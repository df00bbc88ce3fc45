package reading

import (
	"encoding/json"
	"slices"
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/timezone"
)

// Group says what a row of the caseload asks for.
type Group string

// The groups, in the order of the page. Quiet rows ask for nothing.
const (
	GroupSaidNo   Group = "said_no"
	GroupMet      Group = "met"
	GroupLook     Group = "look"
	GroupDiffers  Group = "differs"  // by person or by place
	GroupRecord   Group = "record"   // two recordings, late data, or something in quarantine
	GroupCheck    Group = "check"    // check again, slipping
	GroupAgain    Group = "again"    // the date on which one meant to look again, or the version one waited for
	GroupAnswer   Group = "answer"   // the family has answered
	GroupIdle     Group = "idle"     // no sessions lately: one row a family
	GroupUnlooked Group = "unlooked" // nobody has looked for so many days
	Quiet         Group = ""
)

// Groups lists those that ask for something.
var Groups = []Group{
	GroupSaidNo, GroupMet, GroupLook, GroupDiffers, GroupRecord, GroupCheck, GroupAgain, GroupAnswer, GroupIdle, GroupUnlooked,
}

// newerSessions is how many more counted sessions bring a row back that was
// held or seen, when nothing else has changed.
const newerSessions = 3

// UnlookedDays is after how many days a program is looked at even if nothing
// asks for it: common practice, data are looked at weekly, and nothing should
// go a fortnight without.
const UnlookedDays = 14

// Said reads what the evaluator wrote. A placement that was never read has an
// empty body, and says nothing.
func Said(body json.RawMessage) criterion.Reading {
	var r criterion.Reading
	if json.Unmarshal(body, &r) != nil {
		return criterion.Reading{}
	}
	return r
}

// GroupOf says what a row asks for at a moment.
func GroupOf(row newel.CaseloadRow, now time.Time) Group {
	today := newel.DayOf(now, timezone.OrUTC(row.TimeZone))
	again := !row.LookAgain.IsZero() && !today.Before(row.LookAgain)
	if row.State == newel.AssignmentPaused {
		if again {
			return GroupAgain
		}
		return Quiet
	}
	if row.State == newel.AssignmentResting || news(row, criterion.Distress) {
		return GroupSaidNo
	}
	if row.Waiting > 0 || row.Held > 0 || LateOpen(row) || Twice(row) != nil {
		return GroupRecord
	}
	if again || Due(row) || Revised(row) {
		return GroupAgain
	}
	if g := readingGroup(row); g != Quiet {
		return g
	}
	switch {
	case row.Answers > 0:
		return GroupAnswer
	case idle(row, today) && !answeredIdle(row):
		return GroupIdle
	case today.Sub(lookedAt(row)) >= UnlookedDays:
		return GroupUnlooked
	}
	return Quiet
}

// readingGroup says what the reading itself asks for.
func readingGroup(row newel.CaseloadRow) Group {
	if row.Gist == nil {
		return Quiet
	}
	if row.Gist.Met() {
		return metGroup(row)
	}
	group := Quiet
	for _, f := range row.Gist.Flags {
		switch {
		case f.Kind == criterion.Idle || f.Kind == criterion.Distress || !enough(row) && raised(row.Answered, f.Kind):
		case f.Kind == criterion.DiffersByPerson || f.Kind == criterion.DiffersByPlace:
			if group == Quiet {
				group = GroupDiffers
			}
		default:
			group = GroupLook
		}
	}
	return group
}

func metGroup(row newel.CaseloadRow) Group {
	for _, kind := range []criterion.FlagKind{criterion.CheckAgain, criterion.Slipping} {
		if raised(row.Gist, kind) && (enough(row) || !raised(row.Answered, kind)) {
			return GroupCheck
		}
	}
	if !row.Answered.Met() || enough(row) {
		return GroupMet
	}
	return Quiet
}

// enough reports whether nobody has decided yet, or so much was recorded since
// that one looks again.
func enough(row newel.CaseloadRow) bool {
	return row.DecisionKind == "" || counted(row.Gist)-counted(row.Answered) >= newerSessions
}

func counted(g *newel.Gist) int {
	if g == nil {
		return 0
	}
	return g.Counted
}

func raised(g *newel.Gist, kind criterion.FlagKind) bool {
	_, is := g.Flag(kind)
	return is
}

// news reports whether the flag is raised on a session that what was decided
// last did not rest on.
func news(row newel.CaseloadRow, kind criterion.FlagKind) bool {
	flag, is := row.Gist.Flag(kind)
	if !is || row.DecisionKind == "" {
		return is
	}
	old, _ := row.Answered.Flag(kind)
	return slices.ContainsFunc(flag.Sessions, func(id string) bool { return !slices.Contains(old.Sessions, id) })
}

// LateOpen reports whether late data would change a reading that was decided
// on, and nobody has decided since they came. They may be data of the step
// before, come since one stands on this one.
func LateOpen(row newel.CaseloadRow) bool {
	return row.Late != nil && row.Late.Changes && row.BeganAt.Before(row.Late.At) &&
		(row.DecidedAt == nil || row.DecidedAt.Before(row.Late.At))
}

// Twice gives the pairs of sessions at the same time that nobody has decided
// about.
func Twice(row newel.CaseloadRow) [][2]string {
	if row.Gist == nil {
		return nil
	}
	var open [][2]string
	for _, pair := range row.Gist.Twice {
		if row.Answered == nil || !slices.Contains(row.Answered.Twice, pair) {
			open = append(open, pair)
		}
	}
	return open
}

// Revised reports whether the version for which a revision was begun is
// published.
func Revised(row newel.CaseloadRow) bool {
	return row.DecisionKind == newel.DecisionRevise && row.Newest > row.Number
}

// Due reports whether the day has passed by which something was expected, and
// nobody has said what came of it, nor looked since.
func Due(row newel.CaseloadRow) bool {
	return row.Due != nil && lookedAt(row).Before(row.Due.By)
}

// idle is known from the reading without evaluating again.
func idle(row newel.CaseloadRow, today newel.Day) bool {
	return !row.IdleFrom.IsZero() && !today.Before(row.IdleFrom)
}

// answeredIdle reports whether somebody has looked since the row fell idle.
func answeredIdle(row newel.CaseloadRow) bool {
	return row.DecidedAt != nil && !newel.DayOf(*row.DecidedAt, timezone.OrUTC(row.TimeZone)).Before(row.IdleFrom)
}

// lookedAt is the day of the latest decision, or else of the beginning, which
// one decided on as well.
func lookedAt(row newel.CaseloadRow) newel.Day {
	if row.DecidedAt != nil {
		return newel.DayOf(*row.DecidedAt, timezone.OrUTC(row.TimeZone))
	}
	return row.BeganOn
}
