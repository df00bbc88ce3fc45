package say

import (
	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/view"
)

// caseloadReason returns the one-sentence reason why a row needs attention.
func caseloadReason(t *message.Printer, g reading.Group, i reading.CaseloadItem, stay view.Stay) string {
	at := circumstances{i.BeganOn, i.Today, i.LookAgain, i.State, i.CaseloadRow}
	switch {
	case g == reading.GroupIdle:
		return familyIdle(t, i)
	case g == reading.GroupUnrecorded:
		return t.Text("reason.unrecorded")
	case g == reading.GroupAgain && reading.Due(i.CaseloadRow):
		return t.Text("reason.expected", "day", i.Due.By, "text", clipped(i.Due.Text))
	case g == reading.GroupAgain && reading.Revised(i.CaseloadRow):
		return t.Text("reason.revised", "n", i.Newest, "old", i.Number)
	case g == reading.GroupAgain && i.State == newel.AssignmentPaused:
		return t.Text("reason.paused_until", "day", i.LookAgain)
	case g == reading.GroupAnswer:
		return t.Text("reason.answer", "n", i.Answers)
	case g == reading.GroupUnreviewed:
		return t.Text("reason.unlooked", "n", reading.UnreviewedDays) + " " + readingReason(t, stay)
	}
	return reasonOf(t, g, stay, at)
}

// circumstances are what a reason needs besides the reading.
type circumstances struct {
	began, today, again newel.Day
	state               newel.AssignmentState
	row                 newel.CaseloadRow
}

// recordReason says what someone has to settle before the row is evaluated
// further.
func recordReason(t *message.Printer, r newel.CaseloadRow) string {
	switch {
	case reading.LateOpen(r):
		return lateText(t, r)
	case r.WithSurplus > 0:
		return t.Text("reason.record")
	case len(reading.Twice(r)) > 0:
		return t.Text("reason.twice")
	}
	return t.Text("reason.held")
}

// reasonOf returns the one-sentence reason why a row needs attention.
func reasonOf(t *message.Printer, g reading.Group, stay view.Stay, at circumstances) string {
	switch g {
	case reading.GroupMet:
		return stay.MetSentence()
	case reading.GroupNobody:
		return t.Text("reason.nobody", "step", at.row.StepLabel)
	case reading.GroupIdle:
		return idleReason(t, stay, at)
	case reading.GroupRecord:
		return recordReason(t, at.row)
	case reading.GroupAgain:
		return t.Text("reason.again", "day", at.again) + " " + readingReason(t, stay)
	case reading.GroupSaidNo:
		if f, is := stay.Said.Flag(criterion.Distress); is {
			return stay.FlagSentence(f)
		}
		return t.Text("reason.resting")
	case reading.GroupCheck:
		for _, kind := range []criterion.FlagKind{criterion.Slipping, criterion.CheckAgain} {
			if f, is := stay.Said.Flag(kind); is {
				return stay.FlagSentence(f)
			}
		}
	}
	return readingReason(t, stay)
}

// readingReason returns the reason that follows from the reading itself.
func readingReason(t *message.Printer, stay view.Stay) string {
	if stay.Said.Status == criterion.StatusMet {
		return stay.MetSentence()
	}
	if f, raised := stay.Leading(); raised {
		return stay.FlagSentence(f)
	}
	if stay.Said.Status == "" || stay.Said.Status == criterion.StatusGathering {
		return t.Text("reason.gathering")
	}
	return t.Text("reason.on_the_way", "lacking", stay.StatusLine())
}

func idleReason(t *message.Printer, stay view.Stay, at circumstances) string {
	if len(stay.Sessions) == 0 {
		return t.Text("reason.never", "day", at.began)
	}
	last := stay.Sessions[len(stay.Sessions)-1].Day
	return t.Text("reason.idle", "n", at.today.Sub(last)-1, "day", last)
}

func flagNames(t *message.Printer, g reading.Group, stay view.Stay) string {
	if g == reading.GroupIdle {
		return t.Flag(string(criterion.Idle))
	}
	return stay.FlagNames()
}

func restsOn(t *message.Printer, stay view.Stay) string {
	if n := stay.RestsOn(); n > 0 {
		return t.Text("reason.rests_on", "n", n)
	}
	return t.Text("reason.open")
}
