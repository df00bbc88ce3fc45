package writing

import (
	"errors"
	"strconv"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"newel/internal/criterion"
)

// stay returns a case with the number correct of five trials on each of the
// days; a negative number is a maintenance check.
func stay(text string, days, right []int) criterion.Case {
	start := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	c := criterion.Case{AsOf: start.AddDate(1, 0, 0), TimeZone: "UTC", Criterion: text}
	for i, day := range days {
		at := start.AddDate(0, 0, day)
		s := criterion.Session{ID: "s" + strconv.Itoa(i+1), StartedAt: at, EndedAt: at.Add(10 * time.Minute)}
		n := right[i]
		if n < 0 {
			s.Kind, n = criterion.Maintenance, -n-1
		}
		for t := range 5 {
			outcome := criterion.Trial{Outcome: "incorrect"}
			if t < n {
				outcome.Outcome = "correct"
			}
			s.Trials = append(s.Trials, outcome)
		}
		c.Sessions = append(c.Sessions, s)
	}
	return c
}

// check encodes a maintenance session with right correct.
func check(right int) int { return -right - 1 }

func TestReplay(t *testing.T) {
	t.Parallel()
	const three, two = "80% independent in 3 sessions in a row", "80% independent in 2 sessions in a row"
	days := []int{0, 1, 2, 3, 4, 5, 6, 7, 8}
	twenty := []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19}
	fortnight := append(days[:9:9], 9, 10, 11, 12, 13)
	for _, c := range []struct {
		name     string
		past     criterion.Case
		draft    Rules
		was, now RuleOutcome
	}{
		{
			"met at session 6 instead of 7",
			stay(three, days, []int{1, 2, 3, 3, 4, 4, 4, 4, 4}),
			Rules{Criterion: "80% independent in 2 sessions in a row"},
			RuleOutcome{MetAt: 7},
			RuleOutcome{MetAt: 6},
		},
		{
			"never met, now met",
			stay("100% independent in 3 sessions in a row", days, []int{1, 2, 3, 3, 4, 4, 3, 4, 4}),
			Rules{Criterion: two},
			RuleOutcome{},
			RuleOutcome{MetAt: 6},
		},
		{
			"dropped back after four weeks",
			stay(three, []int{0, 1, 2, 20, 31}, []int{5, 5, 5, check(5), check(1)}),
			Rules{Criterion: two},
			RuleOutcome{MetAt: 3, Checked: true, Dropped: true, Alarms: []Alarm{{criterion.CheckAgain, 1, "s5", 0}}},
			RuleOutcome{MetAt: 2, Checked: true, Dropped: true, Alarms: []Alarm{{criterion.CheckAgain, 1, "s5", 0}}},
		},
		{
			"maintained for a lower goal",
			stay(three, []int{0, 1, 2, 31}, []int{5, 5, 5, check(3)}),
			Rules{Criterion: "60% independent in 2 sessions in a row"},
			RuleOutcome{MetAt: 3, Checked: true, Dropped: true, Alarms: []Alarm{{criterion.CheckAgain, 1, "s4", 0}}},
			RuleOutcome{MetAt: 2, Checked: true},
		},
		{
			// Teaching continued for five weeks although the draft was met on
			// the second day.
			"continued teaching shows that it was too early",
			stay("100% independent in 3 sessions in a row", []int{0, 1, 30, 31}, []int{4, 4, 1, 1}),
			Rules{Criterion: two},
			RuleOutcome{},
			RuleOutcome{MetAt: 2, Checked: true, Dropped: true},
		},
		{
			// Fourteen sessions at 2 and 3 of 5 do not gain: flat at the fourteenth.
			"an alarm less, since it is met before",
			stay(three, fortnight, []int{2, 3, 2, 3, 2, 3, 2, 3, 2, 3, 2, 3, 2, 3}),
			Rules{Criterion: "40% independent in 3 sessions in a row"},
			RuleOutcome{Alarms: []Alarm{{criterion.Flat, 1, "s14", 14}}},
			RuleOutcome{MetAt: 3},
		},
		{
			"an alarm switched off",
			stay(three, fortnight, []int{2, 3, 2, 3, 2, 3, 2, 3, 2, 3, 2, 3, 2, 3}),
			Rules{Criterion: three, Flags: criterion.Rules{Off: []criterion.FlagKind{criterion.Flat}}},
			RuleOutcome{Alarms: []Alarm{{criterion.Flat, 1, "s14", 14}}},
			RuleOutcome{},
		},
		{
			"a rule for going back",
			stay(three, days[:4], []int{3, 2, 1, 1}),
			Rules{Criterion: three, StepBack: "below 30% in 2 sessions in a row"},
			RuleOutcome{},
			RuleOutcome{Alarms: []Alarm{{criterion.StepBack, 1, "s4", 4}}},
		},
		{
			// Fourteen sessions with at most one error: close where a goal of
			// 100 % allows none, met by the draft.
			"close under its own criterion only",
			stay("100% independent in 3 sessions in a row", fortnight, []int{4, 5, 4, 5, 5, 4, 5, 5, 4, 5, 5, 4, 5, 4}),
			Rules{Criterion: three},
			RuleOutcome{Alarms: []Alarm{{criterion.Close, 1, "s14", 14}}},
			RuleOutcome{MetAt: 3},
		},
		{
			"several flags, in the order of their sessions",
			stay(three, twenty, []int{2, 3, 2, 3, 2, 3, 2, 3, 2, 3, 2, 3, 2, 3, 5, 2, 2, 2, 2, 2}),
			Rules{Criterion: three, Flags: criterion.Rules{Off: []criterion.FlagKind{criterion.Uneven}}},
			RuleOutcome{Alarms: []Alarm{{criterion.Flat, 1, "s14", 14}, {criterion.Uneven, 1, "s17", 17}, {criterion.Long, 1, "s20", 20}}},
			RuleOutcome{Alarms: []Alarm{{criterion.Flat, 1, "s14", 14}, {criterion.Long, 1, "s20", 20}}},
		},
		{"nothing recorded", stay(three, nil, nil), Rules{Criterion: two}, RuleOutcome{}, RuleOutcome{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got, err := Replay(c.draft, []Past{{c.past, criterion.Evaluate}})
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff([]Replayed{{c.was, c.now}}, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestReplayIgnoresRefusalsWhenCheckingMaintenance: a session with a refusal
// does not show whether the skill is still there.
func TestReplayIgnoresRefusalsWhenCheckingMaintenance(t *testing.T) {
	t.Parallel()
	c := stay("80% independent in 2 sessions in a row", []int{0, 1, 30, 31}, []int{5, 5, check(0), check(5)})
	c.Sessions[2].EndedEarly = criterion.EarlyDistress
	got, err := Replay(Rules{Criterion: c.Criterion}, []Past{{c, criterion.Evaluate}})
	if err != nil || !got[0].Now.Checked || got[0].Now.Dropped {
		t.Errorf("%+v, %v", got, err)
	}
}

func TestSum(t *testing.T) {
	t.Parallel()
	alarms := func(n int) []Alarm {
		return []Alarm{{Kind: "less_help", Times: 1}, {Kind: criterion.Flat, Times: n}, {Kind: criterion.CheckAgain, Times: 5}}
	}
	got := Sum([]Replayed{
		{RuleOutcome{MetAt: 9, Alarms: alarms(3)}, RuleOutcome{MetAt: 6, Alarms: alarms(1), Checked: true, Dropped: true}},
		{RuleOutcome{MetAt: 4, Checked: true}, RuleOutcome{MetAt: 5, Checked: true}},
		{RuleOutcome{MetAt: 4}, RuleOutcome{}},
		{RuleOutcome{Alarms: []Alarm{{Kind: criterion.Falling, Times: 2}}}, RuleOutcome{MetAt: 2}},
		{RuleOutcome{MetAt: 2}, RuleOutcome{MetAt: 2}},
	})
	want := Difference{
		Stays: 5, MetWas: 4, MetNow: 4, Earlier: 1, Later: 1, AlarmsWas: 6, AlarmsNow: 2,
		Kinds:      []KindDifference{{criterion.Falling, 2, 0}, {criterion.Flat, 3, 1}, {"less_help", 1, 1}},
		CheckedWas: 1, CheckedNow: 2, DroppedNow: 1, OnlyWas: 1, OnlyDraft: 1,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestReplayNamesInvalidInput(t *testing.T) {
	t.Parallel()
	past := []Past{{stay("80% in 2 sessions", []int{0}, []int{5}), criterion.Evaluate}, {stay("eighty", nil, nil), criterion.Evaluate}}
	for _, draft := range []string{"eighty", "80% in 2 sessions"} {
		_, err := Replay(Rules{Criterion: draft}, past)
		var input *criterion.InputError
		if !errors.As(err, &input) || input.Path != "criterion" {
			t.Errorf("%q: %v", draft, err)
		}
	}
}
