package reading

import (
	"newel/internal/criterion"
	"newel/internal/newel"
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
	for _, week := range s.Weeks {
		consider(s.LearnedOn.AddDays(7 * week))
	}
	if hasFlag(s.Gist, criterion.CheckAgain) && !s.CheckedOn.IsZero() {
		consider(s.CheckedOn.AddDays(checkAgainDays))
	}
	if s.Planned == newel.PlanCheck && s.PlanOpen && (since.IsZero() || s.PlannedOn.Before(since)) {
		since = s.PlannedOn // even on the day of a check
	}
	return since
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
