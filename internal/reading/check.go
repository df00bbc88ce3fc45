package reading

import (
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/timezone"
)

// checkAgainDays is how soon a check that did not reach the goal is repeated:
// common practice; within days, so that an off day and a lost skill are told
// apart.
const checkAgainDays = 2

// OverdueDays is for how many days a check may be due before it stands on the
// caseload.
const OverdueDays = 7

// CheckDue returns the day since which a learned step waits for a maintenance
// check, or zero if it waits for none on the given day. A check is due so many
// weeks after the step was learned, on the day for which a supervisor planned
// one, and soon after one that did not reach the goal. Any check on or after
// such a day does it. After two in a row that did not reach the goal, a person
// decides what happens next.
func CheckDue(s newel.LearnedCheck, today newel.Day) newel.Day {
	if s.Planned == newel.PlanNone {
		return newel.Day{}
	}
	var since newel.Day
	consider := func(day newel.Day) {
		done := !s.CheckedOn.IsZero() && !s.CheckedOn.Before(day)
		if !done && !today.Before(day) && (since.IsZero() || day.Before(since)) {
			since = day
		}
	}
	for _, day := range checkDays(s) {
		consider(day)
	}
	if s.Planned == newel.PlanCheck && s.PlanOpen && (since.IsZero() || s.PlannedOn.Before(since)) {
		since = s.PlannedOn // even on the day of a check
	}
	return since
}

// checkDays returns the days on which a step is checked by its program, and the
// day on which a check that was not met is repeated.
func checkDays(s newel.LearnedCheck) []newel.Day {
	var days []newel.Day
	for _, week := range s.Weeks {
		days = append(days, s.LearnedOn.AddDays(7*week))
	}
	if hasFlag(s.Gist, criterion.CheckAgain) && !s.CheckedOn.IsZero() {
		days = append(days, s.CheckedOn.AddDays(checkAgainDays))
	}
	return days
}

// CheckNeed is why a learned step stands on the caseload.
type CheckNeed string

// Why a learned step needs a person, most important first.
const (
	CheckSaidNo      CheckNeed = "said_no"      // the child ended the latest check
	CheckMissedTwice CheckNeed = "missed_twice" // the latest two did not reach the goal
	CheckMissed      CheckNeed = "missed"       // the latest did not
	CheckOverdue     CheckNeed = "overdue"      // due for more than OverdueDays
	CheckNone        CheckNeed = ""
)

// CheckNeeds returns why a learned step stands on the caseload on a day. What a
// supervisor plans after a check answers it.
func CheckNeeds(s newel.LearnedCheck, today newel.Day) CheckNeed {
	if !s.PlanOpen && !s.CheckedOn.IsZero() {
		switch {
		case s.CheckedNo:
			return CheckSaidNo
		case hasFlag(s.Gist, criterion.Slipping):
			return CheckMissedTwice
		case hasFlag(s.Gist, criterion.CheckAgain):
			return CheckMissed
		}
	}
	if since := CheckDue(s, today); !since.IsZero() && today.Sub(since) > OverdueDays {
		return CheckOverdue
	}
	return CheckNone
}

// CheckItem is a learned step on the caseload.
type CheckItem struct {
	newel.LearnedCheck
	Need  CheckNeed
	Since newel.Day // since when a check is due; zero if none is
}

// CheckItems returns the learned steps that need someone at a time, the most
// important first, otherwise in their order.
func CheckItems(list []newel.LearnedCheck, now time.Time) []CheckItem {
	var items []CheckItem
	for _, need := range []CheckNeed{CheckSaidNo, CheckMissedTwice, CheckMissed, CheckOverdue} {
		for _, l := range list {
			today := newel.DayOf(now, timezone.OrUTC(l.TimeZone))
			if CheckNeeds(l, today) == need {
				items = append(items, CheckItem{l, need, CheckDue(l, today)})
			}
		}
	}
	return items
}

// NextCheck returns the day on which the next check falls due after a day, or
// zero if none is planned.
func NextCheck(s newel.LearnedCheck, today newel.Day) newel.Day {
	var next newel.Day
	for _, day := range checkDays(s) {
		if today.Before(day) && (next.IsZero() || day.Before(next)) {
			next = day
		}
	}
	return next
}
