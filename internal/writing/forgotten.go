package writing

import (
	"regexp"
	"strconv"

	"newel/internal/criterion"
	"newel/internal/program"
)

// defaultWeeks are the usual maintenance checks in weeks after a step is met
// (common practice).
const defaultWeeks = "1, 2, 4, 8"

// forgotten looks for what a program should say but does not.
func (r *reviewer) forgotten() {
	if r.d.Procedure.IfNotYet == "" {
		r.look(r.said("error_correction", "if_not_yet", "Help with it, then let the child try again at once. Go on kindly."),
			"if_not_yet", "check.no_error_correction")
	}
	if len(r.d.MaintenanceWeeks) == 0 && r.d.Maintenance == "" && r.d.Unparsed["maintenance_weeks"] == "" {
		r.look(&Fix{ID: "usual_weeks", Field: "maintenance_weeks", Value: defaultWeeks}, "maintenance_weeks", "check.no_maintenance")
	}
}

var handed = regexp.MustCompile(`(?i)\b(touch(es|ing)?|hands?|physical|guid(e|es|ed|ing|ance))\b`)

// help looks for prompts that involve touch without being marked, because then
// no one would be asked whether touch is allowed.
func (r *reviewer) help() {
	marked, changed := r.d.Clone(), false
	for i, l := range r.d.HelpLevels {
		if !l.Touch && r.english() && handed.MatchString(l.Name) {
			marked.HelpLevels[i].Touch, changed = true, true
		}
	}
	if changed {
		r.look(&Fix{ID: "mark_touch", Field: "help_levels", Value: marked.Sheet().Fields["help_levels"]}, "help_levels", "check.touch_unmarked")
	}
	for _, s := range r.d.Strands {
		for _, step := range s.Steps {
			if r.d.Touches(step.PlannedHelp) {
				r.look(nil, program.StepField(step.Key, "planned_help"), "check.touch_planned", "level", step.PlannedHelp)
			}
		}
	}
}

// pace compares the planned weeks with the sessions that the criteria require
// even if every one is correct. Real learners take longer.
func (r *reviewer) pace() {
	if r.d.Weeks == 0 || r.d.SessionsAWeek == 0 {
		return
	}
	sessions := 0
	for _, s := range r.d.Strands {
		for i := range s.Steps {
			if c, err := criterion.Parse(s.Steps[i].Criterion, r.d.Vocabulary(&s.Steps[i])); err == nil {
				sessions += max(c.Window.Need, c.Days, c.People, c.Places, c.Homes)
			}
		}
	}
	weeks := (sessions + r.d.SessionsAWeek - 1) / r.d.SessionsAWeek
	if weeks > r.d.Weeks {
		r.look(&Fix{ID: "plan_weeks", Field: "weeks", Value: strconv.Itoa(weeks)}, "weeks", "check.weeks",
			"sessions", sessions, "a_week", r.d.SessionsAWeek, "weeks", weeks, "planned", r.d.Weeks)
	}
}
