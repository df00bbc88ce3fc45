package say

import (
	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/recording"
	"newel/internal/timezone"
	"newel/internal/view"
)

// twinTable shows two people's records of one session side by side.
func twinTable(t *message.Printer, data app.RecordingPage, twin reading.Twin) view.TwinTable {
	other := twin.Second.ID
	if other == data.Recording.ID {
		other = twin.First.ID
	}
	m := view.TwinTable{
		First: twin.FirstBy, Second: twin.SecondBy, Line: twinLine(t, twin),
		Other: view.Link{Label: t.Text("twin.open"), Href: href.Recording.To(other)},
	}
	for n, try := range twin.Tries {
		m.Tries = append(m.Tries, view.TwinTry{N: n + 1, First: twinAnswer(t, data, try.First), Second: twinAnswer(t, data, try.Second), Differs: !try.Same()})
	}
	return m
}

func twinAnswer(t *message.Printer, data app.RecordingPage, a *recording.Answer) *view.TrialLine {
	if a == nil {
		return nil
	}
	return &view.TrialLine{Mark: view.MarkOf(string(a.Outcome), helpRank(data, a.Help)), Answer: answerText(t, *a)}
}

// twinLine returns how far two people agree.
func twinLine(t *message.Printer, twin reading.Twin) string {
	same, percent := twin.Agreement()
	if percent == nil {
		return t.Text("twin.empty", "first", twin.FirstBy, "second", twin.SecondBy)
	}
	return t.Text("twin.line", "first", twin.FirstBy, "second", twin.SecondBy, "result", t.OutOf(same, len(twin.Tries)), "percent", t.Percent(*percent))
}

// TwinsOf lists the sessions of an assignment that two people recorded.
func TwinsOf(t *message.Printer, p reading.Progress) []view.TwinLine {
	var lines []view.TwinLine
	for _, twin := range p.Twins {
		lines = append(lines, view.TwinLine{
			Day:  view.Link{Label: t.DayShort(newel.DayOf(twin.First.StartedAt, timezone.OrUTC(p.Family.TimeZone))), Href: href.Twin(twin.First.ID)},
			Line: twinLine(t, twin),
		})
	}
	return lines
}
