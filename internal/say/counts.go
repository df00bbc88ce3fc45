package say

import (
	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/view"
)

func unfitOf(s newel.SessionRow) []string {
	var out []string
	for _, u := range s.Of.Unfit {
		out = append(out, string(u))
	}
	return out
}

// unfitText returns the note that a session differed from its step. It is empty
// if it did not, or if it is excluded for another reason.
func unfitText(t *message.Printer, r view.Recorded) string {
	if r.Read.Why != reading.WhyUnfit {
		return ""
	}
	return r.LeftOut(t)
}

// helpRule returns the decision that the program's own rule suggests.
func helpRule(said criterion.Reading) (newel.DecisionKind, bool) {
	for _, kind := range []newel.DecisionKind{newel.DecisionLessHelp, newel.DecisionMoreHelp} {
		if _, raised := said.Flag(criterion.FlagKind(kind)); raised {
			return kind, true
		}
	}
	return "", false
}

// helpMove returns the suggested change of planned help, or "" if no rule of
// the program suggests one.
func helpMove(t *message.Printer, said criterion.Reading, levels []string, planned string) string {
	kind, asked := helpRule(said)
	to, is := program.HelpLevelAt(levels, planned, kind.HelpStep())
	if !asked || !is {
		return ""
	}
	key := "help.less"
	if kind == newel.DecisionMoreHelp {
		key = "help.more"
	}
	return t.Text(key, "from", helpName(t, planned), "to", helpName(t, to))
}

func helpName(t *message.Printer, level string) string {
	if level == "" {
		return t.Text("help.alone")
	}
	return level
}

// helpActs returns the decision that the program's own rule suggests, if any.
func helpActs(t *message.Printer, said criterion.Reading, levels []string, planned string) []view.Act {
	kind, asked := helpRule(said)
	to, is := program.HelpLevelAt(levels, planned, kind.HelpStep())
	if !asked || !is {
		return nil
	}
	return []view.Act{{
		Glyph: view.GlyphRevise, Name: "kind", Value: string(kind), Solid: true,
		Label: t.Text("decide."+string(kind)+"_to", "level", helpName(t, to)),
	}}
}

// helpDecided adds the planned help to the name of a decision.
func helpDecided(t *message.Printer, d newel.DecisionRow, name string) string {
	if d.Kind.HelpStep() == 0 {
		return name
	}
	return t.Text("decision.help_to", "kind", name, "level", helpName(t, d.Help))
}

// helpChoice names a decision in the form, with the help that it would plan.
func helpChoice(t *message.Printer, p reading.Progress, k newel.DecisionKind, name string) string {
	to, is := program.HelpLevelAt(p.Version.Document.HelpNames(), p.Placement.PlannedHelp, k.HelpStep())
	if k.HelpStep() == 0 || !is {
		return name
	}
	return t.Text("decide."+string(k)+"_to", "level", helpName(t, to))
}
