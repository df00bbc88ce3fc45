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

// PlanPart returns what is planned for the next session of a placement, or nil
// if nothing can be.
func PlanPart(t *message.Printer, p reading.Progress, mayDecide bool) *view.PlanPart {
	kinds := p.Plannable()
	if len(kinds) == 0 {
		return nil
	}
	m := &view.PlanPart{Now: planNow(t, p)}
	zone := timezone.OrUTC(p.Family.TimeZone)
	for _, plan := range p.Planned {
		m.Lines = append(m.Lines, t.Text("planned.line", "what", t.Text(planKey(p, plan.Kind)), "who", plan.PlannedByName, "day", newel.DayOf(plan.PlannedAt, zone)))
	}
	if mayDecide {
		field := view.Field{T: t, Name: "plan", Label: t.Text("planned.label"), Required: true}
		for _, kind := range kinds {
			field.Options = append(field.Options, view.Option{Value: string(kind), Label: t.Text(planKey(p, kind))})
		}
		m.Form = &view.PlanForm{Action: href.PlacementPlanned.To(p.Placement.ID), Token: NewToken(), Kind: field}
	}
	return m
}

// planKey returns the key of a plan's text.
func planKey(p reading.Progress, kind newel.PlannedKind) string {
	if p.Learned != nil && kind == newel.PlanUsual {
		return "planned.kind_weeks"
	}
	return "planned.kind_" + string(kind)
}

func planNow(t *message.Printer, p reading.Progress) string {
	if p.Learned == nil {
		next := t.Text("planned.next_" + string(p.NextKinds[0]))
		if p.Step.Baseline > 0 && p.NextKinds[0] == criterion.Baseline && p.Tally.Baselines < p.Step.Baseline {
			next += " " + t.Text("planned.baseline_of", "n", p.Tally.Baselines+1, "of", p.Step.Baseline)
		}
		return next
	}
	if since := reading.CheckDue(*p.Learned, p.Today); !since.IsZero() {
		return t.Text("planned.due", "day", since)
	}
	if p.Learned.Planned == newel.PlanNone {
		return t.Text("planned.no_more")
	}
	if next := reading.NextCheck(*p.Learned, p.Today); !next.IsZero() {
		return t.Text("planned.next_check", "day", next)
	}
	return t.Text("planned.all_done")
}

// CheckLines returns the learned steps whose checks need someone.
func CheckLines(t *message.Printer, c reading.Caseload) []view.UnansweredLine {
	var lines []view.UnansweredLine
	for _, i := range c.Checks {
		text := t.Text("planned.need_"+string(i.Need), "day", i.Since, "checked", i.CheckedOn)
		lines = append(lines, view.UnansweredLine{
			Who: i.Learner + ", " + i.Program, Href: href.PlacementPlan(i.PlacementID), Text: text,
			Under: stepText(i.Role, i.StepLabel, i.StepName) + ". " + t.Text("planned.learned", "day", i.LearnedOn),
		})
	}
	return lines
}
