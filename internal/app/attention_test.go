package app

import (
	"encoding/json"
	"testing"
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
)

// What a row asks for. The rules stand in the design: a decided row returns
// only for a new kind of flag, three newer sessions, a child's no, or the
// date on which one meant to look again.
func TestWhatARowAsksFor(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC)
	day := func(n int) newel.Day { return newel.NewDay(2026, 3, n) }
	at := func(n int) *time.Time { v := time.Date(2026, 3, n, 12, 0, 0, 0, time.UTC); return &v }
	body := func(status criterion.Status, sessions int, flags ...criterion.Flag) json.RawMessage {
		r := criterion.Reading{Status: status, Flags: flags}
		for range sessions {
			r.Sessions = append(r.Sessions, criterion.SessionReading{Counted: true})
		}
		b, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	flag := func(kind criterion.FlagKind, ids ...string) criterion.Flag {
		return criterion.Flag{Kind: kind, Sessions: ids}
	}
	stalled := body(criterion.StatusStalled, 8, flag(criterion.Flat, "s8"))
	for _, c := range []struct {
		name string
		row  newel.CaseloadRow
		want Group
	}{
		{"never read", newel.CaseloadRow{}, Quiet},
		{"on the way", newel.CaseloadRow{Body: body(criterion.StatusUnderWay, 4)}, Quiet},
		{"met", newel.CaseloadRow{Body: body(criterion.StatusMet, 4)}, GroupMet},
		{"met and held", newel.CaseloadRow{Body: body(criterion.StatusMet, 4), DecisionKind: newel.DecisionHold, DecidedOn: body(criterion.StatusMet, 4)}, Quiet},
		{"met after it was held", newel.CaseloadRow{Body: body(criterion.StatusMet, 4), DecisionKind: newel.DecisionHold, DecidedOn: body(criterion.StatusUnderWay, 3)}, GroupMet},
		{"met, held, three sessions later", newel.CaseloadRow{Body: body(criterion.StatusMet, 7), DecisionKind: newel.DecisionHold, DecidedOn: body(criterion.StatusMet, 4)}, GroupMet},
		{"stalled", newel.CaseloadRow{Body: stalled}, GroupLook},
		{"stalled and seen", newel.CaseloadRow{Body: stalled, DecisionKind: newel.DecisionSeen, DecidedOn: stalled}, Quiet},
		{"seen before it stalled", newel.CaseloadRow{Body: stalled, DecisionKind: newel.DecisionSeen, DecidedOn: body(criterion.StatusUnderWay, 7)}, GroupLook},
		{"seen on no reading", newel.CaseloadRow{Body: stalled, DecisionKind: newel.DecisionSeen}, GroupLook},
		{"two more under the same flag", newel.CaseloadRow{
			Body: body(criterion.StatusStalled, 10, flag(criterion.Flat, "s10")), DecisionKind: newel.DecisionSeen, DecidedOn: stalled,
		}, Quiet},
		{"three more under the same flag", newel.CaseloadRow{
			Body: body(criterion.StatusStalled, 11, flag(criterion.Flat, "s11")), DecisionKind: newel.DecisionSeen, DecidedOn: stalled,
		}, GroupLook},
		{"another flag", newel.CaseloadRow{
			Body: body(criterion.StatusStalled, 9, flag(criterion.Falling), flag(criterion.Flat)), DecisionKind: newel.DecisionSeen, DecidedOn: stalled,
		}, GroupLook},
		{"differs while on the way", newel.CaseloadRow{Body: body(criterion.StatusUnderWay, 9, flag(criterion.DiffersByPerson))}, GroupLook},
		{"a no comes before being met", newel.CaseloadRow{Body: body(criterion.StatusMet, 9, flag(criterion.Distress, "s9"))}, GroupSaidNo},
		{"a no that was answered", newel.CaseloadRow{
			Body: body(criterion.StatusUnderWay, 9, flag(criterion.Distress, "s9")), DecisionKind: newel.DecisionSeen,
			DecidedOn: body(criterion.StatusUnderWay, 9, flag(criterion.Distress, "s9")),
		}, Quiet},
		{"another no", newel.CaseloadRow{
			Body: body(criterion.StatusUnderWay, 10, flag(criterion.Distress, "s9", "s10")), DecisionKind: newel.DecisionSeen,
			DecidedOn: body(criterion.StatusUnderWay, 9, flag(criterion.Distress, "s9")),
		}, GroupSaidNo},
		{"resting", newel.CaseloadRow{State: newel.AssignmentResting}, GroupSaidNo},
		{"paused", newel.CaseloadRow{State: newel.AssignmentPaused, Body: stalled, NeedsPerson: true}, Quiet},
		{"two recordings", newel.CaseloadRow{NeedsPerson: true}, GroupRecord},
		{"slipping", newel.CaseloadRow{Body: body(criterion.StatusMet, 9, flag(criterion.Slipping, "m1", "m2"))}, GroupCheck},
		{"look again today", newel.CaseloadRow{DecisionKind: newel.DecisionHold, LookAgain: day(12)}, GroupAgain},
		{"look again tomorrow", newel.CaseloadRow{DecisionKind: newel.DecisionHold, LookAgain: day(13)}, Quiet},
		{"idle from today", newel.CaseloadRow{Body: body(criterion.StatusUnderWay, 4), IdleFrom: day(12)}, GroupIdle},
		{"idle from tomorrow", newel.CaseloadRow{Body: body(criterion.StatusUnderWay, 4), IdleFrom: day(13)}, Quiet},
		{"idle from tomorrow here, today there", newel.CaseloadRow{IdleFrom: day(13), TimeZone: "Pacific/Kiritimati"}, Quiet}, // 23:00 on the 12th
		{"idle, looked at since", newel.CaseloadRow{IdleFrom: day(9), DecisionKind: newel.DecisionSeen, DecidedAt: at(10)}, Quiet},
		{"idle, looked at before", newel.CaseloadRow{IdleFrom: day(9), DecisionKind: newel.DecisionSeen, DecidedAt: at(8)}, GroupIdle},
	} {
		if c.row.TimeZone == "" {
			c.row.TimeZone = "UTC"
		}
		if got := groupOf(c.row, now); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
