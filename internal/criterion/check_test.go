package criterion

import (
	"errors"
	"testing"
	"time"

	"newel/internal/exact"
)

func TestCheckErrors(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		path   string
		change func(c *Case)
	}{
		{"as_of", func(c *Case) { c.AsOf = time.Time{} }},
		{"time_zone", func(c *Case) { c.TimeZone = "" }},
		{"time_zone", func(c *Case) { c.TimeZone = "Local" }},
		{"time_zone", func(c *Case) { c.TimeZone = "Mars/Olympus" }},
		{"time_zone", func(c *Case) { c.TimeZone = "../../etc/passwd" }},
		{"criterion", func(c *Case) { c.Criterion = "good" }},
		{"step_back", func(c *Case) { c.StepBack = "good" }},
		{"step_back", func(c *Case) { c.StepBack = "3x100%, across 2 days" }},
		{"help_levels[1]", func(c *Case) { c.HelpLevels = []string{"model", "model"} }},
		{"help_levels[0]", func(c *Case) { c.HelpLevels = []string{" "} }},
		{"targets[2]", func(c *Case) { c.Targets = []string{"cup", "spoon", "cup"} }},
		{"pauses[0].to", func(c *Case) { c.Pauses = []Pause{{Date{2026, 1, 2}, Date{2026, 1, 1}}} }},
		{"pauses[0].to", func(c *Case) { c.Pauses = []Pause{{From: Date{2026, 1, 2}}} }},
		{"pauses[0].from", func(c *Case) { c.Pauses = []Pause{{To: Date{2026, 1, 2}}} }},
		{"rules.off[0]", func(c *Case) { c.Rules.Off = []FlagKind{"flatt"} }},
		{"rules.long", func(c *Case) { c.Rules.Long = pointer(7) }},
		{"rules.long", func(c *Case) { c.Rules.Long = pointer(1001) }},
		{"rules.idle_days", func(c *Case) { c.Rules.IdleDays = pointer(0) }},
		{"rules.floor_percent", func(c *Case) { c.Rules.FloorPercent = pointer(ratOf("100.5")) }},
		{"rules.floor_percent", func(c *Case) { c.Rules.FloorPercent = pointer(ratOf("-1")) }},
		{"sessions[1].id", func(c *Case) { c.Sessions[1].ID = "s1" }},
		{"sessions[0].id", func(c *Case) { c.Sessions[0].ID = "" }},
		{"sessions[0].kind", func(c *Case) { c.Sessions[0].Kind = "lesson" }},
		{"sessions[0].ended_early", func(c *Case) { c.Sessions[0].EndedEarly = "tired" }},
		{"sessions[0].started_at", func(c *Case) { c.Sessions[0].StartedAt = time.Time{} }},
		{"sessions[0].ended_at", func(c *Case) { c.Sessions[0].EndedAt = time.Time{} }},
		{"sessions[1].ended_at", func(c *Case) { c.Sessions[1].EndedAt = c.Sessions[1].StartedAt.Add(-1) }},
		{"sessions[0].planned_help", func(c *Case) { c.Sessions[0].PlannedHelp = "shout" }},
		{"sessions[0].count", func(c *Case) { c.Sessions[0].Count = pointer(int64(-1)) }},
		{"sessions[0].observed_s", func(c *Case) { c.Sessions[0].ObservedS = pointer(ratOf("-0.1")) }},
		{"sessions[0].durations_s[0]", func(c *Case) { c.Sessions[0].DurationsS = append(c.Sessions[0].DurationsS, ratOf("-1")) }},
		{"sessions[1].trials[2].outcome", func(c *Case) { c.Sessions[1].Trials[2].Outcome = "right" }},
		{"sessions[1].trials[2].help", func(c *Case) { c.Sessions[1].Trials[2].Help = "Model" }},
		{"sessions[1].trials[2].latency_s", func(c *Case) { c.Sessions[1].Trials[2].LatencyS = pointer(ratOf("-1")) }},
		{"sessions[1].trials[2].none", func(c *Case) {
			c.Sessions[1].Trials[2].LatencyS = pointer(ratOf("1"))
			c.Sessions[1].Trials[2].None = true
		}},
		{"sessions[1].trials[2].choices", func(c *Case) { c.Sessions[1].Trials[2].Choices = 1 }},
		{"sessions[1].trials[2].position", func(c *Case) { c.Sessions[1].Trials[2].Choices, c.Sessions[1].Trials[2].Position = 3, 4 }},
		{"sessions[1].trials[2].position", func(c *Case) { c.Sessions[1].Trials[2].Position = -1 }},
	} {
		input := caseOf("80% in 3 sessions", "5/10", "5/10")
		c.change(&input)
		_, err := Evaluate(input)
		var wrong *InputError
		if !errors.As(err, &wrong) || wrong.Path != c.path {
			t.Errorf("%s: %v", c.path, err)
		}
	}
}

// TestCheckAcceptsTheLimits checks that the least and greatest values that are
// allowed are accepted, and that the error at the next one names its field.
func TestCheckAcceptsTheLimits(t *testing.T) {
	t.Parallel()
	day := Date{2026, 1, 2}
	for name, change := range map[string]func(c *Case){
		"long from 8":                func(c *Case) { c.Rules.Long = pointer(8) },
		"long to 1000":               func(c *Case) { c.Rules.Long = pointer(1000) },
		"idle from a day":            func(c *Case) { c.Rules.IdleDays = pointer(1) },
		"idle to 1000 days":          func(c *Case) { c.Rules.IdleDays = pointer(1000) },
		"floor at 0":                 func(c *Case) { c.Rules.FloorPercent = pointer(ratOf("0")) },
		"floor at 100":               func(c *Case) { c.Rules.FloorPercent = pointer(ratOf("100")) },
		"a pause of one day":         func(c *Case) { c.Pauses = []Pause{{day, day}} },
		"a session of no length":     func(c *Case) { c.Sessions[0].EndedAt = c.Sessions[0].StartedAt },
		"nothing counted":            func(c *Case) { c.Sessions[0].Count = pointer(int64(0)) },
		"observed for no time":       func(c *Case) { c.Sessions[0].ObservedS = pointer(ratOf("0")) },
		"a bout of no length":        func(c *Case) { c.Sessions[0].DurationsS = []exact.Rat{ratOf("0")} },
		"an answer at once":          func(c *Case) { c.Sessions[0].Trials[0].LatencyS = pointer(ratOf("0")) },
		"two choices, and the last":  func(c *Case) { t := &c.Sessions[0].Trials[0]; t.Choices, t.Position = 2, 2 },
		"a position without choices": func(c *Case) { c.Sessions[0].Trials[0].Position = 9 },
		"no position":                func(c *Case) { c.Sessions[0].Trials[0].Choices = 3 },
	} {
		c := caseOf("80% independent in 3 sessions in a row", "8/10", "8/10")
		change(&c)
		if _, err := Evaluate(c); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestBreadthOfEachKind checks that days, people and places are each asked for
// without the others.
func TestBreadthOfEachKind(t *testing.T) {
	t.Parallel()
	for asked, session := range map[string]string{"across 2 days": "day=1", "across 2 people": "by=ana", "across 2 places": "place=home"} {
		r := mustEvaluate(t, caseOf("80% independent in 2 sessions in a row, "+asked, times(2, "9/10 "+session)...))
		if r.MetBy != nil || len(r.Lacking) != 1 || r.Lacking[0].Have != 1 || r.Lacking[0].Need != 2 {
			t.Errorf("%s: met by %v, lacking %v", asked, r.MetBy, r.Lacking)
		}
	}
	for _, asked := range []string{"across 2 days, across 2 people", "across 2 people, across 2 places", "across 2 days, across 2 places"} {
		r := mustEvaluate(t, caseOf("80% independent in 2 sessions in a row, "+asked, times(2, "9/10 day=1 by=ana place=home")...))
		if r.MetBy != nil || len(r.Lacking) != 2 {
			t.Errorf("%s: met by %v, lacking %v", asked, r.MetBy, r.Lacking)
		}
	}
}
