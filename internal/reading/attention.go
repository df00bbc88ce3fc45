package reading

import (
	"encoding/json"
	"slices"
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/timezone"
)

// Group is the kind of attention that a caseload row needs.
type Group string

// The groups, in page order. Quiet rows need nothing.
const (
	GroupSaidNo     Group = "said_no"
	GroupUnrecorded Group = "unrecorded" // the criterion asks for what the step does not record
	GroupMet        Group = "met"
	GroupNobody     Group = "nobody" // no one in the family may start it yet
	GroupAttention  Group = "look"
	GroupDiffers    Group = "differs"  // by person or by place
	GroupRecord     Group = "record"   // two recordings, late data, or something in quarantine
	GroupCheck      Group = "check"    // check again, slipping
	GroupAgain      Group = "again"    // the planned review date has come, or the awaited version is out
	GroupAnswer     Group = "answer"   // the family has answered
	GroupIdle       Group = "idle"     // no sessions lately: one row per family
	GroupUnreviewed Group = "unlooked" // not reviewed for UnreviewedDays
	Quiet           Group = ""
)

// Groups lists the groups that need attention.
var Groups = []Group{
	GroupSaidNo, GroupUnrecorded, GroupNobody, GroupMet, GroupAttention, GroupDiffers, GroupRecord, GroupCheck, GroupAgain, GroupAnswer, GroupIdle, GroupUnreviewed,
}

// newerSessions is how many new counted sessions bring back a row that was held
// or seen, if nothing else has changed.
const newerSessions = 3

// UnreviewedDays is the number of days after which a program needs a review
// even without any flag: common practice; data are reviewed weekly, and nothing
// should go two weeks without a review.
const UnreviewedDays = 14

// DecodeReading decodes the evaluator's reading. For a placement that was never
// evaluated, body is empty and the reading is zero.
func DecodeReading(body json.RawMessage) criterion.Reading {
	var r criterion.Reading
	if json.Unmarshal(body, &r) != nil {
		return criterion.Reading{}
	}
	return r
}

// GroupOf returns the group of a row at a time.
func GroupOf(row newel.CaseloadRow, now time.Time) Group {
	today := newel.DayOf(now, timezone.OrUTC(row.TimeZone))
	again := !row.LookAgain.IsZero() && !today.Before(row.LookAgain)
	if row.State == newel.AssignmentPaused {
		if again {
			return GroupAgain
		}
		return Quiet
	}
	if row.State == newel.AssignmentResting || flagIsNew(row, criterion.Distress) {
		return GroupSaidNo
	}
	if row.WithSurplus > 0 || row.Quarantined > 0 || LateOpen(row) || Twice(row) != nil {
		return GroupRecord
	}
	if row.Unrecorded && row.DecisionKind != newel.DecisionRevise {
		return GroupUnrecorded
	}
	if row.NobodyHere && !row.Gist.Met() {
		return GroupNobody
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
	case today.Sub(reviewedAt(row)) >= UnreviewedDays:
		return GroupUnreviewed
	}
	return Quiet
}

// readingGroup returns the group that follows from the reading itself.
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
		case f.Kind == criterion.Idle || f.Kind == criterion.Distress || settled(row, f.Kind):
		case f.Kind == criterion.DiffersByPerson || f.Kind == criterion.DiffersByPlace:
			if group == Quiet {
				group = GroupDiffers
			}
		default:
			group = GroupAttention
		}
	}
	return group
}

// settled reports whether the latest decision answered the flag. It comes back
// after enough new sessions, except Close, which is a notice that a placement
// shows once.
func settled(row newel.CaseloadRow, kind criterion.FlagKind) bool {
	if kind == criterion.Close {
		return row.CloseSeen || answered(row, kind)
	}
	return answered(row, kind) && !dueForReview(row)
}

// gainFlags are the reasons for a lack of progress that earlier evaluators told
// apart differently.
var gainFlags = []criterion.FlagKind{
	criterion.Falling, criterion.Flat, criterion.Uneven, criterion.Long, criterion.Close, criterion.Floor,
}

// answered reports whether the flag was raised when the latest decision was
// made. A decision on a reading of an earlier evaluator answered a lack of
// progress under whichever name it had then: a change of the rules alone never
// brings back what a person has decided.
func answered(row newel.CaseloadRow, kind criterion.FlagKind) bool {
	if row.Answered.Outdated() && slices.Contains(gainFlags, kind) {
		return slices.ContainsFunc(gainFlags, func(k criterion.FlagKind) bool { return hasFlag(row.Answered, k) })
	}
	return hasFlag(row.Answered, kind)
}

func metGroup(row newel.CaseloadRow) Group {
	for _, kind := range []criterion.FlagKind{criterion.CheckAgain, criterion.Slipping} {
		if hasFlag(row.Gist, kind) && (dueForReview(row) || !hasFlag(row.Answered, kind)) {
			return GroupCheck
		}
	}
	if !row.Answered.Met() || dueForReview(row) {
		return GroupMet
	}
	return Quiet
}

// dueForReview reports whether no one has decided yet, or enough sessions have
// been recorded since the decision to review the row again.
func dueForReview(row newel.CaseloadRow) bool {
	return row.DecisionKind == "" || countedSessions(row.Gist)-countedSessions(row.Answered) >= newerSessions
}

func countedSessions(g *newel.Gist) int {
	if g == nil {
		return 0
	}
	return g.Counted
}

func hasFlag(g *newel.Gist, kind criterion.FlagKind) bool {
	_, is := g.Flag(kind)
	return is
}

// flagIsNew reports whether the flag is raised on a session that the latest
// decision was not based on.
func flagIsNew(row newel.CaseloadRow, kind criterion.FlagKind) bool {
	flag, is := row.Gist.Flag(kind)
	if !is || row.DecisionKind == "" {
		return is
	}
	old, _ := row.Answered.Flag(kind)
	return slices.ContainsFunc(flag.Sessions, func(id string) bool { return !slices.Contains(old.Sessions, id) })
}

// LateOpen reports whether late data would change a reading that was decided
// on, and no one has decided since they arrived. They may be data of the
// previous step that arrived on this one.
func LateOpen(row newel.CaseloadRow) bool {
	return row.Late != nil && row.Late.Changes && row.BeganAt.Before(row.Late.At) &&
		(row.DecidedAt == nil || row.DecidedAt.Before(row.Late.At))
}

// Twice returns pairs of sessions at the same time that no one has decided
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

// Revised reports whether the revision that a decision asked for has been
// published.
func Revised(row newel.CaseloadRow) bool {
	return row.DecisionKind == newel.DecisionRevise && row.Newest > row.Number
}

// Due reports whether the day of an expected outcome has passed, and no one has
// recorded the outcome or decided since.
func Due(row newel.CaseloadRow) bool {
	return row.Due != nil && reviewedAt(row).Before(row.Due.By)
}

// idle reports whether a row is idle today, from the stored reading.
func idle(row newel.CaseloadRow, today newel.Day) bool {
	return !row.IdleFrom.IsZero() && !today.Before(row.IdleFrom)
}

// answeredIdle reports whether someone has decided since the row became idle.
func answeredIdle(row newel.CaseloadRow) bool {
	return row.DecidedAt != nil && !newel.DayOf(*row.DecidedAt, timezone.OrUTC(row.TimeZone)).Before(row.IdleFrom)
}

// reviewedAt returns the day of the latest decision, or of the start of the
// placement, which was a decision as well.
func reviewedAt(row newel.CaseloadRow) newel.Day {
	if row.DecidedAt != nil {
		return newel.DayOf(*row.DecidedAt, timezone.OrUTC(row.TimeZone))
	}
	return row.BeganOn
}
