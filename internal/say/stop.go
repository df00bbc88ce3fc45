package say

import (
	"slices"
	"time"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/timezone"
	"newel/internal/view"
)

// StopPart returns the part of a progress page about the pause after a child's
// no, with the form that lifts it as it was typed; nil if there is no such
// pause.
func StopPart(t *message.Printer, p reading.Progress, in app.DecisionInput, mayDecide bool) *view.StopPart {
	if p.Assignment.State != newel.AssignmentResting {
		return nil
	}
	zone := timezone.OrUTC(p.Family.TimeZone)
	m := &view.StopPart{T: t, Said: talkLines(t, zone, p.SaidSinceLifted())}
	if at := p.LastNo.At; at != nil {
		m.When = t.Text("stop.when", "day", newel.DayOf(*at, zone), "time", clock(*at, zone))
	}
	if !mayDecide || !p.Open() {
		return m
	}
	on := in.AgreedOn
	if in.Kind != newel.DecisionLift {
		in.Agreed, on = "", p.Today.String()
	}
	m.Form = &view.LiftForm{
		Action: href.PlacementDecide.To(p.Placement.ID), Token: NewToken(), After: p.Latest(), No: p.LastNo.Mark(),
		Agreed: view.Field{T: t, Name: "agreed", Label: t.Text("stop.agreed"), Hint: t.Text("stop.agreed_hint"), Value: in.Agreed, Required: true},
		On:     view.Field{T: t, Name: "agreed_on", Label: t.Text("stop.agreed_on"), Value: on, Required: true},
	}
	return m
}

func clock(at time.Time, zone *time.Location) string { return at.In(zone).Format("15:04") }

// talkLines returns what a family said after a child's no.
func talkLines(t *message.Printer, zone *time.Location, talks []newel.Talk) []view.SaidLine {
	lines := make([]view.SaidLine, len(talks))
	for i, talk := range talks {
		lines[i] = saidLine(t, zone, newel.Said{Line: talk.Line, By: talk.MadeByName, At: talk.TalkedAt})
		if talk.Lifted {
			lines[i].Note = t.Text("stop.lifted_then")
		}
	}
	return lines
}

// saidLine returns one such line.
func saidLine(t *message.Printer, zone *time.Location, s newel.Said) view.SaidLine {
	if s.By == "" {
		s.By = t.Text("stop.someone")
	}
	if s.Line == "" {
		s.Line = t.Text("stop.said_only")
	}
	return view.SaidLine{Line: s.Line, Who: t.Text("stop.said_by", "who", s.By, "day", t.DayShort(newel.DayOf(s.At, zone)), "time", clock(s.At, zone))}
}

// agreedOn says when what a decision records was agreed; empty for decisions
// that record no such thing.
func agreedOn(t *message.Printer, d newel.DecisionRow) string {
	if d.AgreedOn.IsZero() {
		return ""
	}
	return t.Text("stop.agreed_line", "day", t.DayShort(d.AgreedOn))
}

// liftedLine says what was agreed when the pause of a program was last lifted;
// empty if it never was.
func liftedLine(t *message.Printer, zone *time.Location, decisions []newel.DecisionRow) string {
	i := slices.IndexFunc(decisions, func(d newel.DecisionRow) bool { return d.Kind == newel.DecisionLift })
	if i < 0 {
		return ""
	}
	d := decisions[i]
	return t.Text("stop.lifted", "day", t.DayShort(newel.DayOf(d.DecidedAt, zone)), "who", d.DecidedByName, "line", d.Reason, "agreed", t.DayShort(d.AgreedOn))
}
