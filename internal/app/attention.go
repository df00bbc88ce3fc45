package app

import (
	"encoding/json"
	"slices"
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
)

// Group says what a row of the caseload asks for.
type Group string

// The groups, in the order of the page. Quiet rows ask for nothing.
const (
	GroupSaidNo Group = "said_no"
	GroupMet    Group = "met"
	GroupLook   Group = "look"
	GroupRecord Group = "record" // two recordings, or late data
	GroupCheck  Group = "check"  // check again, slipping
	GroupAgain  Group = "again"  // the date on which one meant to look again
	GroupIdle   Group = "idle"
	Quiet       Group = ""
)

// Groups lists those that ask for something.
var Groups = []Group{GroupSaidNo, GroupMet, GroupLook, GroupRecord, GroupCheck, GroupAgain, GroupIdle}

// newerSessions is how many more counted sessions bring a row back that was
// held or seen, when nothing else has changed.
const newerSessions = 3

// said reads what the evaluator wrote. A placement that was never read has an
// empty body, and says nothing.
func said(body json.RawMessage) criterion.Reading {
	var r criterion.Reading
	if json.Unmarshal(body, &r) != nil {
		return criterion.Reading{}
	}
	return r
}

// groupOf says what a row asks for at a moment.
func groupOf(row newel.CaseloadRow, now time.Time) Group {
	today := newel.DayOf(now, location(row.TimeZone))
	if row.State == newel.AssignmentPaused {
		return Quiet
	}
	reading := said(row.Body)
	then := answeredBy(row)
	if row.State == newel.AssignmentResting || news(reading, then, criterion.Distress) {
		return GroupSaidNo
	}
	if row.NeedsPerson {
		return GroupRecord
	}
	if !row.LookAgain.IsZero() && !today.Before(row.LookAgain) {
		return GroupAgain
	}
	enough := then == nil || counted(reading)-counted(*then) >= newerSessions
	if reading.Status == criterion.StatusMet {
		return metGroup(reading, then, enough)
	}
	for _, f := range reading.Flags {
		switch {
		case f.Kind == criterion.Idle || f.Kind == criterion.Distress:
		case enough || !raised(then, f.Kind):
			return GroupLook
		}
	}
	if idle(row, today) && !answeredIdle(row) {
		return GroupIdle
	}
	return Quiet
}

func metGroup(reading criterion.Reading, then *criterion.Reading, enough bool) Group {
	for _, kind := range []criterion.FlagKind{criterion.CheckAgain, criterion.Slipping} {
		if _, is := reading.Flag(kind); is && (enough || !raised(then, kind)) {
			return GroupCheck
		}
	}
	if then == nil || then.Status != criterion.StatusMet || enough {
		return GroupMet
	}
	return Quiet
}

// answeredBy is the reading that the latest decision answered, or nil if
// there is none. A decision that rested on no reading answered an empty one.
func answeredBy(row newel.CaseloadRow) *criterion.Reading {
	if row.DecisionKind == "" {
		return nil
	}
	r := said(row.DecidedOn)
	return &r
}

func raised(r *criterion.Reading, kind criterion.FlagKind) bool {
	if r == nil {
		return false
	}
	_, is := r.Flag(kind)
	return is
}

// news reports whether the flag is raised on a session that the reading then
// did not rest on.
func news(now criterion.Reading, then *criterion.Reading, kind criterion.FlagKind) bool {
	flag, is := now.Flag(kind)
	if !is || then == nil {
		return is
	}
	old, _ := then.Flag(kind)
	return slices.ContainsFunc(flag.Sessions, func(id string) bool { return !slices.Contains(old.Sessions, id) })
}

func counted(r criterion.Reading) int {
	n := 0
	for _, s := range r.Sessions {
		if s.Counted {
			n++
		}
	}
	return n
}

// idle is known from the reading without evaluating again.
func idle(row newel.CaseloadRow, today newel.Day) bool {
	return !row.IdleFrom.IsZero() && !today.Before(row.IdleFrom)
}

// answeredIdle reports whether somebody has looked since the row fell idle.
func answeredIdle(row newel.CaseloadRow) bool {
	return row.DecidedAt != nil && !newel.DayOf(*row.DecidedAt, location(row.TimeZone)).Before(row.IdleFrom)
}
