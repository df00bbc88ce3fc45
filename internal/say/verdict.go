package say

import (
	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/timezone"
	"newel/internal/view"
)

// AddOutcomeForms adds a form to every decision with an expected outcome. The
// form is open if its day has passed and no one has recorded the outcome.
func AddOutcomeForms(t *message.Printer, p reading.Progress, lines []view.DecisionLine) {
	for i, d := range p.Decisions {
		if d.Expected == "" {
			continue
		}
		id := d.ID.String()
		f := &view.VerdictForm{
			Action: href.PlacementVerdict.To(p.Placement.ID, d.ID), Token: NewToken(),
			Heading: t.Text("verdict.ask"), Open: p.Overdue(d),
			Came: view.Field{T: t, Name: "came", ID: "f-came-" + id, Label: t.Text("verdict.came"), Required: true},
			Line: view.Field{T: t, Name: "line", ID: "f-line-" + id, Label: t.Text("verdict.line")},
		}
		if len(p.VerdictsOn(d.ID)) > 0 {
			f.Heading = t.Text("verdict.again")
		}
		for _, result := range newel.ExpectationResults {
			f.Came.Options = append(f.Came.Options, view.Option{Value: string(result), Label: t.Text("verdict.came_" + string(result))})
		}
		lines[i].Ask = f
	}
}

func verdictLines(t *message.Printer, p reading.Progress, decision newel.DecisionID) []view.VerdictLine {
	var out []view.VerdictLine
	for _, v := range p.VerdictsOn(decision) {
		day := t.DayShort(newel.DayOf(v.GivenAt, timezone.OrUTC(p.Family.TimeZone)))
		out = append(out, view.VerdictLine{
			Came: t.Text("verdict.came_" + string(v.Came)), Line: v.Line, Who: t.Text("decide.by", "who", v.GivenByName, "day", day),
		})
	}
	return out
}

// readingsOf returns the status at the time of a decision and the current
// status. Only a person says whether the expected outcome came.
func readingsOf(t *message.Printer, p reading.Progress, d newel.DecisionRow) string {
	then, now := p.Readings(d)
	return t.Text("verdict.then_now", "then", readingText(t, then), "now", readingText(t, now))
}

func readingText(t *message.Printer, said criterion.Reading) string {
	if said.Status == "" {
		return t.Text("verdict.not_read")
	}
	words := []string{t.Status(string(said.Status))}
	for _, f := range said.Flags {
		words = append(words, t.Flag(string(f.Kind)))
	}
	return t.List(words)
}
