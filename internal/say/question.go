package say

import (
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/timezone"
	"newel/internal/view"
)

// AskedLines are the questions asked about a placement, with their answers.
func AskedLines(t *message.Printer, asked []newel.Question) []view.AskedLine {
	var lines []view.AskedLine
	for i := len(asked) - 1; i >= 0; i-- {
		q := asked[i]
		line := view.AskedLine{
			Question: q.Text, Who: t.Text("question.asked_by", "who", q.AskedByName, "day", t.Day(newel.DayOf(q.AskedAt, timezone.OrUTC(q.TimeZone)))), Answer: q.Answer,
		}
		if q.AnsweredAt != nil {
			line.AnswerBy = t.Text("question.answered_by", "who", q.AnsweredByName, "day", t.Day(newel.DayOf(*q.AnsweredAt, timezone.OrUTC(q.TimeZone))))
		}
		lines = append(lines, line)
	}
	return lines
}
