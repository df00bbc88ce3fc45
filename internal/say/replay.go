package say

import (
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
	"newel/internal/writing"
)

// replayPage returns how another criterion would have judged past sessions.
func replayPage(t *message.Printer, v app.ReplayView) view.ReplayPage {
	m := view.ReplayPage{T: t, Title: t.Text("replay.title", "step", strings.TrimSpace(v.Step+" "+v.StepName)), Answered: len(v.Problems) == 0}
	field := func(name, value string, required bool) {
		f := view.Field{T: t, Name: name, Label: t.Text("replay." + name), Hint: t.Text("replay." + name + ".hint"), Value: value, Required: required}
		if p, bad := v.Problems[name]; bad {
			f.Error = t.Problem(p)
		}
		m.Fields = append(m.Fields, f)
	}
	field("criterion", v.In.Criterion, true)
	field("step_back", v.In.StepBack, false)
	if v.Unjudged > 0 {
		m.Notes = append(m.Notes, t.Text("replay.unjudged", "n", v.Unjudged))
	}
	if v.LeftOut {
		m.Notes = append(m.Notes, t.Text("replay.left_out"))
	}
	return m
}

// sumLines summarizes the differences over several placements.
func sumLines(t *message.Printer, d writing.Difference) []string {
	met := "replay.sum_met"
	if d.MetNow == d.MetWas {
		met = "replay.sum_met_same"
	}
	out := []string{t.Text(met, "now", d.MetNow, "was", d.MetWas, "n", d.Stays)}
	if d.Earlier+d.Later > 0 {
		out = append(out, t.Text("replay.sum_moved", "earlier", d.Earlier, "later", d.Later))
	}
	if d.OnlyDraft+d.OnlyWas > 0 {
		out = append(out, t.Text("replay.sum_only", "draft", d.OnlyDraft, "was", d.OnlyWas))
	}
	out = append(out, flagLines(t, d)...)
	if d.CheckedNow+d.CheckedWas == 0 {
		return append(out, t.Text("replay.sum_unchecked"))
	}
	return append(out, t.Text("replay.sum_dropped", "dropped", d.DroppedNow, "checked", d.CheckedNow, "dropped_was", d.DroppedWas, "checked_was", d.CheckedWas))
}

// flagLines counts the flags under both rules, in all and by kind.
func flagLines(t *message.Printer, d writing.Difference) []string {
	same := func(key string, now, was int) string {
		if now == was {
			return key + "_same"
		}
		return key
	}
	lines := []string{t.Text(same("replay.sum_alarms", d.AlarmsNow, d.AlarmsWas), "now", d.AlarmsNow, "was", d.AlarmsWas)}
	if len(d.Kinds) == 0 {
		return lines
	}
	parts := make([]string, len(d.Kinds))
	for i, k := range d.Kinds {
		parts[i] = t.Text(same("replay.sum_kind", k.Now, k.Was), "flag", t.Flag(string(k.Kind)), "now", k.Now, "was", k.Was)
	}
	return append(lines, t.Text("replay.sum_kinds", "kinds", t.List(parts)))
}

// stayText describes the differences for one placement.
func stayText(t *message.Printer, r writing.Replayed) string {
	return t.List([]string{metText(t, r), alarmText(t, r)}) + "."
}

func metText(t *message.Printer, r writing.Replayed) string {
	key := "replay.instead"
	switch was, now := r.Was.MetAt, r.Now.MetAt; {
	case was == 0 && now == 0:
		key = "replay.neither"
	case was == 0:
		key = "replay.only_now"
	case now == 0:
		key = "replay.only_was"
	case was == now:
		key = "replay.same"
	}
	return t.Text(key, "was", r.Was.MetAt, "now", r.Now.MetAt)
}

func alarmText(t *message.Printer, r writing.Replayed) string {
	d := writing.Sum([]writing.Replayed{r})
	switch n := d.AlarmsNow - d.AlarmsWas; {
	case n < 0:
		return t.Text("replay.fewer", "n", -n)
	case n > 0:
		return t.Text("replay.more", "n", n)
	}
	return t.Text("replay.as_many")
}

// replayLine returns one past placement under both criteria.
func replayLine(t *message.Printer, s app.ReplayStay) view.ReplayLine {
	line := view.ReplayLine{
		Stay: t.Text("replay.since", "from", t.DayShort(s.BeganOn)), Sessions: t.Text("replay.sessions", "n", s.Sessions),
		Href: href.Placement.To(s.Placement), Had: s.Criterion, Was: metAt(t, s.Was), Now: metAt(t, s.Now),
		RaisedWas: raisedLines(t, s, s.Was), RaisedNow: raisedLines(t, s, s.Now),
		Alarms: alarmText(t, s.Replayed), Later: t.Text("replay.unchecked"),
	}
	for _, e := range s.Earlier {
		line.Earlier = append(line.Earlier, earlierText(t, e))
	}
	if !s.EndedOn.IsZero() {
		line.Stay = t.Text("replay.from_to", "from", t.DayShort(s.BeganOn), "to", t.DayShort(s.EndedOn))
	}
	switch {
	case s.Now.Dropped:
		line.Later = t.Text("replay.dropped")
	case s.Now.Checked:
		line.Later = t.Text("replay.lasted")
	}
	return line
}

// raisedLines lists the flags that were raised, with the session that first
// raised each.
func raisedLines(t *message.Printer, s app.ReplayStay, c writing.RuleOutcome) []string {
	lines := make([]string, len(c.Alarms))
	for i, a := range c.Alarms {
		key := "replay.raised"
		if a.At == 0 {
			key = "replay.raised_on"
		}
		lines[i] = t.Text(key, "flag", t.Flag(string(a.Kind)), "at", a.At, "day", t.DayShort(s.Days[a.First]))
		if a.Times > 1 {
			lines[i] = t.Text("replay.raised_times", "line", lines[i], "n", a.Times)
		}
	}
	if len(lines) == 0 {
		return []string{t.Text("replay.raised_none")}
	}
	return lines
}

// earlierText says what the rules before an upgrade said of a placement, and
// what today's say of the same sessions.
func earlierText(t *message.Printer, e app.EarlierReading) string {
	text := t.Text("replay.earlier", "day", t.DayShort(e.Day), "then", readingText(t, e.Then), "now", readingText(t, e.Now))
	if e.Decision != "" {
		text += " " + t.Text("replay.earlier_decision", "kind", t.Text("decision."+string(e.Decision)))
	}
	return text
}

func metAt(t *message.Printer, c writing.RuleOutcome) string {
	if c.MetAt == 0 {
		return t.Text("replay.not_met")
	}
	return t.Text("replay.met_at", "n", c.MetAt)
}

// ReplayOfAll returns a draft's criterion tried on past sessions of all
// learners within reach.
func ReplayOfAll(t *message.Printer, id newel.ProgramID, v app.ReplayView) view.ReplayPage {
	m := replayPage(t, v)
	m.Crumbs = []view.Link{{Label: t.Text("read.crumb"), Href: href.Programs}, {Label: v.Program.Title, Href: href.Program.To(id)}}
	m.Of = t.Text("replay.caseload")
	if v.WholeClinic {
		m.Of = t.Text("replay.clinic")
	}
	if v.TooFew {
		m.Said = []string{t.Text("replay.too_few", "n", v.Learners, "least", app.ReplayLearners), t.Text("replay.too_few_open")}
	} else {
		m.Said = append([]string{t.Text("replay.sum_stays", "n", v.Sum.Stays, "learners", v.Learners)}, sumLines(t, v.Sum)...)
	}
	return m
}

// ReplayOfLearner returns another criterion tried on one learner's past
// sessions.
func ReplayOfLearner(t *message.Printer, id newel.PlacementID, v app.ReplayView) view.ReplayPage {
	m := replayPage(t, v)
	m.Action, m.Of = href.PlacementReplay.To(id), t.Text("replay.learner", "learner", v.Learner.Nickname)
	m.Crumbs = []view.Link{{Label: v.Learner.Nickname, Href: href.Learner.To(v.Learner.ID)}, {Label: v.Program.Title, Href: href.Placement.To(id)}}
	for _, stay := range v.Stays {
		m.Stays = append(m.Stays, replayLine(t, stay))
		m.Said = append(m.Said, stayText(t, stay.Replayed))
	}
	switch {
	case len(v.Stays) == 0:
		m.Said = []string{t.Text("replay.none")}
	case len(v.Stays) > 1:
		m.Said = sumLines(t, v.Sum)
	}
	return m
}
