package say

import (
	"strings"
	"time"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/timezone"
	"newel/internal/view"
)

// twinPart compares another person's record of the session with this one.
func twinPart(t *message.Printer, data app.RecordingPage, twin reading.Twin) view.TwinPart {
	other := twin.Second.ID
	if other == data.Recording.ID {
		other = twin.First.ID
	}
	return view.TwinPart{
		Twin:  twinModel(t, twin, data.HelpLevels, data.TimeZone),
		Other: view.Link{Label: t.Text("twin.open"), Href: href.Recording.To(other)},
	}
}

func twinModel(t *message.Printer, twin reading.Twin, levels []program.HelpLevel, zone string) view.Twin {
	m := view.Twin{First: twin.FirstBy, Second: twin.SecondBy, Line: twinLine(t, twin)}
	if len(twin.Tries) == 0 {
		return m
	}
	m.How = t.Text("twin.by_" + string(twin.Matching))
	answer := func(try *reading.SentTry) *view.TwinAnswer {
		if try == nil {
			return nil
		}
		a := &view.TwinAnswer{TrialLine: view.TrialLine{
			Mark: view.MarkOf(string(try.Answer.Outcome), helpRank(levels, try.Answer.Help)), Answer: answerText(t, try.Answer),
		}}
		if !try.At.IsZero() {
			a.At = try.At.In(timezone.OrUTC(zone)).Format(time.TimeOnly)
		}
		return a
	}
	for n, try := range twin.Tries {
		m.Tries = append(m.Tries, view.TwinTry{N: n + 1, First: answer(try.First), Second: answer(try.Second), Differs: !try.Same()})
	}
	return m
}

// twinLine returns how far two people agree and what only one of them recorded,
// or why that cannot be said.
func twinLine(t *message.Printer, twin reading.Twin) string {
	switch {
	case twin.FirstLater && twin.SecondLater:
		return t.Text("twin.memory_both", "first", twin.FirstBy, "second", twin.SecondBy)
	case twin.FirstLater:
		return t.Text("twin.memory", "name", twin.FirstBy)
	case twin.SecondLater:
		return t.Text("twin.memory", "name", twin.SecondBy)
	case twin.Agreement.Trial == nil:
		return t.Text("twin.empty", "first", twin.FirstBy, "second", twin.SecondBy)
	}
	lines := []string{t.Text("twin.line", "first", twin.FirstBy, "second", twin.SecondBy,
		"result", t.OutOf(twin.SameTries(), len(twin.Tries)), "percent", t.Percent(*twin.Agreement.Trial))}
	if n := twin.Agreement.First; n > 0 {
		lines = append(lines, t.Text("twin.only", "n", n, "name", twin.FirstBy))
	}
	if n := twin.Agreement.Second; n > 0 {
		lines = append(lines, t.Text("twin.only", "n", n, "name", twin.SecondBy))
	}
	return strings.Join(lines, " ")
}

// AgreementPart returns the sessions of a placement that two people recorded,
// and how many of its sessions had a second observer.
func AgreementPart(t *message.Printer, p reading.Progress) view.AgreementPart {
	m := view.AgreementPart{T: t}
	for _, twin := range p.Twins {
		m.Lines = append(m.Lines, view.TwinLine{
			Day:  view.Link{Label: t.DayShort(newel.DayOf(twin.First.StartedAt, timezone.OrUTC(p.Family.TimeZone))), Href: href.Twin(twin.First.ID)},
			Twin: twinModel(t, twin, p.Version.Document.HelpLevels, p.Family.TimeZone),
		})
	}
	if c := reading.CoverageOf(p.Sessions); len(m.Lines) > 0 && c.Of > 0 {
		m.Coverage = t.Text("twin.coverage", "n", c.Of, "observed", c.Observed, "percent", t.Percent(100*float64(c.Observed)/float64(c.Of)))
	}
	return m
}
