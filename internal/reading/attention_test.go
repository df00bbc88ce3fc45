package reading

import (
	"testing"
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
)

// The groups of rows. The design sets the rules: a decided row comes back only
// for a new kind of flag, three newer sessions, a child's no, or its review
// date.
func TestGroupOf(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC)
	day := func(n int) newel.Day { return newel.NewDay(2026, 3, n) }
	at := func(n int) *time.Time { v := time.Date(2026, 3, n, 12, 0, 0, 0, time.UTC); return &v }
	body := func(status criterion.Status, sessions int, flags ...criterion.Flag) *newel.Gist {
		return &newel.Gist{Status: status, Flags: flags, Sessions: sessions, Counted: sessions, Evaluator: criterion.EvaluatorVersion}
	}
	before := func(g *newel.Gist) *newel.Gist { // the same by version 1 of the evaluator
		old := *g
		old.Evaluator = 0
		return &old
	}
	flag := func(kind criterion.FlagKind, ids ...string) criterion.Flag {
		return criterion.Flag{Kind: kind, Sessions: ids}
	}
	closeTo := func(sessions int) *newel.Gist {
		return body(criterion.StatusUnderWay, sessions, flag(criterion.Close))
	}
	stalled := body(criterion.StatusStalled, 8, flag(criterion.Flat, "s8"))
	for _, c := range []struct {
		name string
		row  newel.CaseloadRow
		want Group
	}{
		{"never evaluated", newel.CaseloadRow{}, Quiet},
		{"in progress", newel.CaseloadRow{Gist: body(criterion.StatusUnderWay, 4)}, Quiet},
		{"met", newel.CaseloadRow{Gist: body(criterion.StatusMet, 4)}, GroupMet},
		{"met and held", newel.CaseloadRow{Gist: body(criterion.StatusMet, 4), DecisionKind: newel.DecisionHold, Answered: body(criterion.StatusMet, 4)}, Quiet},
		{"met after it was held", newel.CaseloadRow{Gist: body(criterion.StatusMet, 4), DecisionKind: newel.DecisionHold, Answered: body(criterion.StatusUnderWay, 3)}, GroupMet},
		{"met, held, three sessions later", newel.CaseloadRow{Gist: body(criterion.StatusMet, 7), DecisionKind: newel.DecisionHold, Answered: body(criterion.StatusMet, 4)}, GroupMet},
		{"stalled", newel.CaseloadRow{Gist: stalled}, GroupAttention},
		{"stalled and seen", newel.CaseloadRow{Gist: stalled, DecisionKind: newel.DecisionSeen, Answered: stalled}, Quiet},
		{"seen before it stalled", newel.CaseloadRow{Gist: stalled, DecisionKind: newel.DecisionSeen, Answered: body(criterion.StatusUnderWay, 7)}, GroupAttention},
		{"seen without a reading", newel.CaseloadRow{Gist: stalled, DecisionKind: newel.DecisionSeen}, GroupAttention},
		{"two more under the same flag", newel.CaseloadRow{
			Gist: body(criterion.StatusStalled, 10, flag(criterion.Flat, "s10")), DecisionKind: newel.DecisionSeen, Answered: stalled,
		}, Quiet},
		{"three more under the same flag", newel.CaseloadRow{
			Gist: body(criterion.StatusStalled, 11, flag(criterion.Flat, "s11")), DecisionKind: newel.DecisionSeen, Answered: stalled,
		}, GroupAttention},
		{"another flag", newel.CaseloadRow{
			Gist: body(criterion.StatusStalled, 9, flag(criterion.Falling), flag(criterion.Flat)), DecisionKind: newel.DecisionSeen, Answered: stalled,
		}, GroupAttention},
		{"close", newel.CaseloadRow{Gist: closeTo(14)}, GroupAttention},
		{"close and seen", newel.CaseloadRow{Gist: closeTo(14), DecisionKind: newel.DecisionSeen, Answered: closeTo(14)}, Quiet},
		{"close, seen before another decision", newel.CaseloadRow{
			Gist: closeTo(30), DecisionKind: newel.DecisionHold, Answered: body(criterion.StatusUnderWay, 20), CloseSeen: true,
		}, Quiet},
		{"no progress after close was seen", newel.CaseloadRow{
			Gist: stalled, DecisionKind: newel.DecisionSeen, Answered: closeTo(8), CloseSeen: true,
		}, GroupAttention},
		{"close and seen, many sessions ago", newel.CaseloadRow{Gist: closeTo(30), DecisionKind: newel.DecisionSeen, Answered: closeTo(14)}, Quiet},
		{"uneven, which later rules call close", newel.CaseloadRow{
			Gist: closeTo(20), DecisionKind: newel.DecisionSeen, Answered: before(body(criterion.StatusStalled, 14, flag(criterion.Uneven))),
		}, Quiet},
		{"uneven, which later rules call flat", newel.CaseloadRow{
			Gist: body(criterion.StatusStalled, 14, flag(criterion.Flat), flag(criterion.Long)), DecisionKind: newel.DecisionSeen,
			Answered: before(body(criterion.StatusStalled, 14, flag(criterion.Uneven))),
		}, Quiet},
		{"uneven, which later rules call flat, three sessions later", newel.CaseloadRow{
			Gist: body(criterion.StatusStalled, 17, flag(criterion.Flat)), DecisionKind: newel.DecisionSeen,
			Answered: before(body(criterion.StatusStalled, 14, flag(criterion.Uneven))),
		}, GroupAttention},
		{"flat, after a decision by earlier rules on another matter", newel.CaseloadRow{
			Gist: body(criterion.StatusStalled, 14, flag(criterion.Flat)), DecisionKind: newel.DecisionSeen,
			Answered: before(body(criterion.StatusUnderWay, 13, flag(criterion.OneSide))),
		}, GroupAttention},
		{"differs while in progress", newel.CaseloadRow{Gist: body(criterion.StatusUnderWay, 9, flag(criterion.DiffersByPerson))}, GroupDiffers},
		{"differs and is flat", newel.CaseloadRow{Gist: body(criterion.StatusStalled, 9, flag(criterion.Flat), flag(criterion.DiffersByPerson))}, GroupAttention},
		{"a no takes precedence over a met criterion", newel.CaseloadRow{Gist: body(criterion.StatusMet, 9, flag(criterion.Distress, "s9"))}, GroupSaidNo},
		{"a no that was answered", newel.CaseloadRow{
			Gist: body(criterion.StatusUnderWay, 9, flag(criterion.Distress, "s9")), DecisionKind: newel.DecisionSeen,
			Answered: body(criterion.StatusUnderWay, 9, flag(criterion.Distress, "s9")),
		}, Quiet},
		{"another no", newel.CaseloadRow{
			Gist: body(criterion.StatusUnderWay, 10, flag(criterion.Distress, "s9", "s10")), DecisionKind: newel.DecisionSeen,
			Answered: body(criterion.StatusUnderWay, 9, flag(criterion.Distress, "s9")),
		}, GroupSaidNo},
		{"no one may start it", newel.CaseloadRow{NobodyHere: true, Gist: body(criterion.StatusUnderWay, 3)}, GroupNobody},
		{"no one may start it, and it was never taught", newel.CaseloadRow{NobodyHere: true}, GroupNobody},
		{"met, though no one may start it", newel.CaseloadRow{NobodyHere: true, Gist: body(criterion.StatusMet, 4)}, GroupMet},
		{"no one could start the next step", newel.CaseloadRow{NobodyNext: true, Gist: body(criterion.StatusMet, 4)}, GroupMet},
		{"a criterion that nothing recorded can meet", newel.CaseloadRow{Unrecorded: true, Gist: body(criterion.StatusGathering, 2)}, GroupUnrecorded},
		{"which a revision will mend", newel.CaseloadRow{Unrecorded: true, DecisionKind: newel.DecisionRevise, Gist: body(criterion.StatusGathering, 2)}, Quiet},
		{"paused after a no", newel.CaseloadRow{State: newel.AssignmentResting}, GroupSaidNo},
		{"paused", newel.CaseloadRow{State: newel.AssignmentPaused, Gist: stalled, WithSurplus: 1}, Quiet},
		{"two recordings", newel.CaseloadRow{WithSurplus: 1}, GroupRecord},
		{"slipping", newel.CaseloadRow{Gist: body(criterion.StatusMet, 9, flag(criterion.Slipping, "m1", "m2"))}, GroupCheck},
		{"look again today", newel.CaseloadRow{DecisionKind: newel.DecisionHold, LookAgain: day(12)}, GroupAgain},
		{"look again tomorrow", newel.CaseloadRow{DecisionKind: newel.DecisionHold, LookAgain: day(13)}, Quiet},
		{"expected by yesterday", newel.CaseloadRow{Due: &newel.Expectation{By: day(11)}}, GroupAgain},
		{"expected by yesterday, decided on before", newel.CaseloadRow{
			Due: &newel.Expectation{By: day(11)}, DecisionKind: newel.DecisionSeen, DecidedAt: at(10), Answered: stalled, Gist: stalled,
		}, GroupAgain},
		{"expected by yesterday, decided on since", newel.CaseloadRow{Due: &newel.Expectation{By: day(11)}, DecisionKind: newel.DecisionSeen, DecidedAt: at(11)}, Quiet},
		{"expected on another step before this one started", newel.CaseloadRow{Due: &newel.Expectation{By: day(4)}}, Quiet},
		{"expected by yesterday, paused", newel.CaseloadRow{Due: &newel.Expectation{By: day(11)}, State: newel.AssignmentPaused}, Quiet},
		{"idle from today", newel.CaseloadRow{Gist: body(criterion.StatusUnderWay, 4), IdleFrom: day(12)}, GroupIdle},
		{"idle from tomorrow", newel.CaseloadRow{Gist: body(criterion.StatusUnderWay, 4), IdleFrom: day(13)}, Quiet},
		{"idle from tomorrow here, today there", newel.CaseloadRow{IdleFrom: day(13), TimeZone: "Pacific/Kiritimati"}, Quiet}, // 23:00 on the 12th
		{"in quarantine", newel.CaseloadRow{Quarantined: 1}, GroupRecord},
		{"late data", newel.CaseloadRow{BeganAt: *at(5), Late: &newel.Late{Changes: true, At: *at(9)}}, GroupRecord},
		{"late data that change nothing", newel.CaseloadRow{BeganAt: *at(5), Late: &newel.Late{At: *at(9)}}, Quiet},
		{"late data, seen since", newel.CaseloadRow{
			BeganAt: *at(5), Late: &newel.Late{Changes: true, At: *at(9)}, DecisionKind: newel.DecisionSeen, DecidedAt: at(10),
		}, Quiet},
		{"late data from before the step", newel.CaseloadRow{BeganAt: *at(10), Late: &newel.Late{Changes: true, At: *at(9)}}, Quiet},
		{"two at once", newel.CaseloadRow{Gist: &newel.Gist{Twice: [][2]string{{"a", "b"}}}}, GroupRecord},
		{"two at once, seen", newel.CaseloadRow{
			Gist: &newel.Gist{Twice: [][2]string{{"a", "b"}}}, DecisionKind: newel.DecisionSeen, DecidedAt: at(10),
			Answered: &newel.Gist{Twice: [][2]string{{"a", "b"}}},
		}, Quiet},
		{"paused until today", newel.CaseloadRow{State: newel.AssignmentPaused, DecisionKind: newel.DecisionPause, LookAgain: day(12)}, GroupAgain},
		{"paused until tomorrow", newel.CaseloadRow{State: newel.AssignmentPaused, DecisionKind: newel.DecisionPause, LookAgain: day(13)}, Quiet},
		{"the awaited version is published", newel.CaseloadRow{DecisionKind: newel.DecisionRevise, DecidedAt: at(10), Number: 1, Newest: 2}, GroupAgain},
		{"the awaited version is a draft", newel.CaseloadRow{DecisionKind: newel.DecisionRevise, DecidedAt: at(10), Number: 1, Newest: 1}, Quiet},
		{"the family answered", newel.CaseloadRow{Answers: 1}, GroupAnswer},
		{"started two weeks ago", newel.CaseloadRow{BeganOn: newel.NewDay(2026, 2, 26)}, GroupUnreviewed},
		{"started thirteen days ago", newel.CaseloadRow{BeganOn: newel.NewDay(2026, 2, 27)}, Quiet},
		{"started long ago, reviewed", newel.CaseloadRow{BeganOn: newel.NewDay(2026, 1, 1), DecisionKind: newel.DecisionSeen, DecidedAt: at(1)}, Quiet},
		{"idle, reviewed since", newel.CaseloadRow{IdleFrom: day(9), DecisionKind: newel.DecisionSeen, DecidedAt: at(10)}, Quiet},
		{"idle, reviewed before", newel.CaseloadRow{IdleFrom: day(9), DecisionKind: newel.DecisionSeen, DecidedAt: at(8)}, GroupIdle},
	} {
		if c.row.TimeZone == "" {
			c.row.TimeZone = "UTC"
		}
		if c.row.BeganOn.IsZero() {
			c.row.BeganOn = day(5)
		}
		if got := GroupOf(c.row, now); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
