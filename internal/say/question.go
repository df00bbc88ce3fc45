package say

import (
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/timezone"
	"newel/internal/view"
)

// AskedLines returns the questions about a placement, with their answers.
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

// QuestionsPage returns the questions to a family, each with a form. typed and
// wrong belong to the answer to the question with that id.
func QuestionsPage(t *message.Printer, list []newel.Question, id, typed, wrong string) view.QuestionsPage {
	m := view.QuestionsPage{T: t, Title: t.Text("question.page")}
	if len(list) == 0 {
		m.None = t.Text("question.none")
	}
	for _, q := range list {
		f := view.AnswerForm{
			Action: href.Question.To(q.ID), Token: NewToken(), Question: q.Text,
			Who:    t.Text("question.asked_by", "who", q.AskedByName, "day", t.Day(newel.DayOf(q.AskedAt, timezone.OrUTC(q.TimeZone)))),
			Answer: view.Field{T: t, Name: "answer", ID: "f-answer-" + q.ID.String(), Label: t.Text("question.your_answer"), Hint: t.Text("question.answer_hint"), Required: true},
		}
		if q.ID.String() == id {
			f.Answer.Value, f.Answer.Error = typed, wrong
		}
		m.Forms = append(m.Forms, f)
	}
	return m
}
