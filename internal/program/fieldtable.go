package program

import (
	"newel/internal/measure"
	"newel/internal/newel"
)

// The tables of fields, in the order of the form. A new field of a document
// needs its place in Document, a row here and a label in the catalogue; with a
// group the editor asks for it, and with a section the program's page shows it.
// The comparison of versions, the merge and the check of lengths need nothing.

var programFields = []row[Document]{
	{Field{Name: "title", Group: "what", Required: true}, requiredLine(newel.MaxLine, func(d *Document) *string { return &d.Title })},
	{Field{Name: "skill_area", Group: "what"}, oneLine(newel.MaxName, func(d *Document) *string { return &d.SkillArea })},
	{Field{Name: "purpose", Group: "what"}, text(func(d *Document) *string { return &d.Purpose })},
	{Field{Name: "for_whom", Group: "what", Shown: Placed{Facts, 1}}, text(func(d *Document) *string { return &d.ForWhom })},
	{Field{Name: "setting", Group: "what", Shown: Placed{Facts, 2}}, text(func(d *Document) *string { return &d.Setting })},
	{Field{Name: "language", Group: "what", Short: true, Shown: Placed{Facts, 3}}, oneLine(newel.MaxName, func(d *Document) *string { return &d.Language })},

	{Field{Name: "needs", Group: "before"}, list(newel.MaxLine, func(d *Document) *[]string { return &d.Needs }).checkedElsewhere()},
	{Field{Name: "teaches", Group: "before"}, afterSteps(things(func(d *Document) *[]TaughtSkill { return &d.Teaches }, (*Document).teachesLine, (*Document).taughtOf))},
	{Field{Name: "prerequisites", Group: "before"}, checked(things(func(d *Document) *[]Prerequisite { return &d.Prerequisites }, prerequisiteLine, prerequisiteOf), checkPrerequisites)},
	{Field{Name: "materials", Group: "before", Teaching: true}, checked(things(func(d *Document) *[]Material { return &d.Materials }, materialLine, materialOf), checkMaterials)},
	{Field{Name: "cautions", Group: "before"}, text(func(d *Document) *string { return &d.Cautions })},
	{Field{Name: "stop_rule", Group: "before"}, text(func(d *Document) *string { return &d.StopRule })},

	{Field{Name: "say", Path: "procedure.say", Group: "how", Shown: Placed{How, 1}, Teaching: true}, text(func(d *Document) *string { return &d.Procedure.Say })},
	{Field{Name: "say_in", Path: "procedure.say_in", Group: "how", Teaching: true}, wordingsValue(func(d *Document) *Wordings { return &d.Procedure.SayIn })},
	{Field{Name: "help_levels", Group: "how", Teaching: true}, things(func(d *Document) *[]HelpLevel { return &d.HelpLevels }, helpLevelLine, readHelpLevel)},
	{
		Field{Name: "help_procedure", Path: "procedure.help_procedure", Group: "how", Shown: Placed{How, 3}, Teaching: true, Choices: texts(HelpProcedures), ChoiceKey: "helping.", NoChoice: "draft.not_said"},
		choice(func(d *Document) *HelpProcedure { return &d.Procedure.HelpProcedure }),
	},
	{Field{Name: "wait_seconds", Path: "procedure.wait_seconds", Group: "how", Shown: Placed{How, 2}, Teaching: true, UnitKey: "read.seconds"}, secondsValue(func(d *Document) *float64 { return &d.Procedure.WaitSeconds })},
	{Field{Name: "help_rule", Path: "procedure.help_rule", Group: "how", Shown: Placed{How, 4}, Teaching: true}, text(func(d *Document) *string { return &d.Procedure.HelpRule })},
	{Field{Name: "less_help", Path: "procedure.less_help", Group: "how", Shown: Placed{How, 5}, Teaching: true}, checked(rule(func(d *Document) *string { return &d.Procedure.LessHelp }), checkNote(func(d *Document) string { return d.Procedure.LessHelp }))},
	{Field{Name: "more_help", Path: "procedure.more_help", Group: "how", Shown: Placed{How, 6}, Teaching: true}, checked(rule(func(d *Document) *string { return &d.Procedure.MoreHelp }), checkNote(func(d *Document) string { return d.Procedure.MoreHelp }))},
	{Field{Name: "if_right", Path: "procedure.if_right", Group: "how", Teaching: true}, text(func(d *Document) *string { return &d.Procedure.IfRight })},
	{Field{Name: "if_not_yet", Path: "procedure.if_not_yet", Group: "how", Teaching: true}, text(func(d *Document) *string { return &d.Procedure.IfNotYet })},
	{Field{Name: "if_says_no", Path: "procedure.if_says_no", Group: "how", Teaching: true}, text(func(d *Document) *string { return &d.Procedure.IfSaysNo })},
	{Field{Name: "reinforcing", Group: "how", Shown: Placed{How, 7}, Teaching: true}, text(func(d *Document) *string { return &d.Reinforcing })},
	{Field{Name: "thinning", Group: "how", Shown: Placed{How, 8}, Teaching: true}, text(func(d *Document) *string { return &d.Thinning })},

	{Field{Name: "difficulties", Group: "around"}, checked(afterSteps(things(func(d *Document) *[]Difficulty { return &d.Difficulties }, (*Document).difficultyLine, (*Document).difficultyOf)), checkDifficulties)},
	{Field{Name: "checklist", Group: "around"}, checked(list(newel.MaxLine, func(d *Document) *[]string { return &d.Checklist }), checkChecklist)},
	{Field{Name: "generalize", Group: "around", Shown: Placed{After, 3}}, text(func(d *Document) *string { return &d.Generalize })},
	{Field{Name: "maintenance_weeks", Group: "around", Short: true, Shown: Placed{After, 1}}, checkWeeks()},
	{Field{Name: "maintenance", Group: "around", Shown: Placed{After, 2}}, text(func(d *Document) *string { return &d.Maintenance })},
	{Field{Name: "sessions_a_week", Group: "around", Shown: Placed{Facts, 4}}, wholeNumber(func(d *Document) *int { return &d.SessionsAWeek })},
	{Field{Name: "weeks", Group: "around", Shown: Placed{Facts, 5}}, wholeNumber(func(d *Document) *int { return &d.Weeks })},
}

var roleFields = []row[Strand]{
	{Field{Name: "role", Path: "role.name", Group: "role", Required: true}, oneLine(newel.MaxName, func(s *Strand) *string { return &s.Role.Name })},
	{Field{Name: "actions", Path: "role.actions", Group: "role"}, text(func(s *Strand) *string { return &s.Role.Actions })},
	{Field{Name: "opens", Group: "role"}, openings()},
}

var stepFields = []row[Step]{
	{Field{Name: "criterion", Shown: Placed{MovingOn, 1}}, rule(func(s *Step) *string { return &s.Criterion })},

	{Field{Name: "label", Group: "step", Short: true, Required: true}, requiredLine(maxLabel, func(s *Step) *string { return &s.Label })},
	{Field{Name: "phase", Group: "step", Shown: Placed{Learned, 1}}, oneLine(newel.MaxName, func(s *Step) *string { return &s.Phase })},
	{Field{Name: "name", Group: "step", Required: true}, requiredLine(newel.MaxLine, func(s *Step) *string { return &s.Name })},
	{Field{Name: "done_when", Group: "step", Shown: Placed{Learned, 2}, Teaching: true}, text(func(s *Step) *string { return &s.DoneWhen })},
	{Field{Name: "say", Group: "step", Shown: Placed{Trial, 2}, Teaching: true}, text(func(s *Step) *string { return &s.Say })},
	{Field{Name: "context", Group: "step", Shown: Placed{Session, 1}, Teaching: true}, text(func(s *Step) *string { return &s.Context })},

	{
		Field{Name: "measure", Group: "session", Required: true, Shown: Placed{Session, 5}, Teaching: true, Choices: texts(Measures), ChoiceKey: "measure."},
		choice(func(s *Step) *Measure { return &s.Measure }),
	},
	{Field{Name: "expectations", Group: "session", Shown: Placed{Trial, 1}, Teaching: true}, things(func(s *Step) *[]Expectation { return &s.Expectations }, expectationLine, readExpectation)},
	{
		Field{Name: "chain", Group: "session", Shown: Placed{Session, 5}, Teaching: true, Choices: texts(Chains), ChoiceKey: "chain.", NoChoice: "draft.not_said"},
		choice(func(s *Step) *Chain { return &s.Chain }),
	},
	{Field{Name: "taught_part", Group: "session", Shown: Placed{Session, 5}, Teaching: true}, oneLine(newel.MaxName, func(s *Step) *string { return &s.TaughtPart })},
	{
		Field{Name: "interval_kind", Group: "session", Shown: Placed{Session, 5}, Teaching: true, Choices: texts(measure.IntervalKinds), ChoiceKey: "interval.", NoChoice: "draft.not_said"},
		choice(func(s *Step) *measure.IntervalKind { return &s.IntervalKind }),
	},
	{Field{Name: "interval_seconds", Group: "session", Shown: Placed{Session, 5}, Teaching: true, UnitKey: "read.seconds"}, secondsValue(func(s *Step) *float64 { return &s.IntervalSeconds })},
	{Field{Name: "trials", Group: "session", Shown: Placed{Session, 6}}, wholeNumber(func(s *Step) *int { return &s.Trials })},
	{Field{Name: "minutes", Group: "session", Shown: Placed{Session, 7}}, wholeNumber(func(s *Step) *int { return &s.Minutes })},
	{Field{Name: "baseline", Group: "session", Shown: Placed{Session, 8}, UnitKey: "read.sessions"}, wholeNumber(func(s *Step) *int { return &s.Baseline })},
	{Field{Name: "probe_every", Group: "session", Shown: Placed{Session, 9}}, wholeNumber(func(s *Step) *int { return &s.ProbeEvery })},
	{Field{Name: "planned_help", Group: "session", Shown: Placed{Trial, 4}, Teaching: true, NoChoice: "draft.no_help"}, choice(func(s *Step) *string { return &s.PlannedHelp })},
	{Field{Name: "targets", Group: "session", Shown: Placed{Targets, 1}, Teaching: true}, things(func(s *Step) *[]Target { return &s.Targets }, targetLine, readTarget)},

	{Field{Name: "examples", Group: "fine", Shown: Placed{Learned, 4}, Teaching: true}, list(newel.MaxLine, func(s *Step) *[]string { return &s.Examples })},
	{Field{Name: "non_examples", Group: "fine", Shown: Placed{Learned, 5}, Teaching: true}, list(newel.MaxLine, func(s *Step) *[]string { return &s.NonExamples })},
	{Field{Name: "limit_seconds", Group: "fine", Shown: Placed{Learned, 6}, Teaching: true, UnitKey: "read.seconds"}, secondsValue(func(s *Step) *float64 { return &s.LimitSeconds })},
	{Field{Name: "wait_seconds", Group: "fine", Shown: Placed{Trial, 3}, Teaching: true, UnitKey: "read.seconds"}, ownWait(func(s *Step) **float64 { return &s.WaitSeconds })},
	{Field{Name: "say_in", Group: "fine", Teaching: true}, wordingsValue(func(s *Step) *Wordings { return &s.SayIn })},
	{Field{Name: "notice", Group: "fine", Shown: Placed{Learned, 7}}, text(func(s *Step) *string { return &s.Notice })},

	{Field{Name: "choices", Group: "targets", Shown: Placed{Targets, 2}, Teaching: true}, wholeNumber(func(s *Step) *int { return &s.Choices })},
	{Field{Name: "at_once", Group: "targets", Shown: Placed{Targets, 3}, Teaching: true}, wholeNumber(func(s *Step) *int { return &s.AtOnce })},
	{Field{Name: "order_rule", Path: "order.rule", Group: "targets", Shown: Placed{Targets, 4}, Teaching: true, Choices: OrderRules, ChoiceKey: "order.", NoChoice: "draft.not_said"}, orderRule()},
	{Field{Name: "order_block", Path: "order.block", Group: "targets", Shown: Placed{Targets, 5}, Teaching: true}, wholeNumber(func(s *Step) *int { return &s.Order.Block })},
	{Field{Name: "order_max_same", Path: "order.max_same", Group: "targets", Shown: Placed{Targets, 6}, Teaching: true}, wholeNumber(func(s *Step) *int { return &s.Order.MaxSame })},
	{Field{Name: "order_known", Path: "order.known", Group: "targets", Shown: Placed{Targets, 7}, Teaching: true}, list(0, func(s *Step) *[]string { return &s.Order.Known }).checkedElsewhere()},
	{Field{Name: "order_known_share", Path: "order.known_share", Group: "targets", Shown: Placed{Targets, 8}, Teaching: true}, percentValue(func(s *Step) *float64 { return &s.Order.KnownShare })},
	{Field{Name: "tokens", Group: "targets", Shown: Placed{Trial, 5}, Teaching: true}, wholeNumber(func(s *Step) *int { return &s.Tokens })},
	{Field{Name: "card", Path: "held", Group: "targets", Shown: Placed{Targets, 9}, Teaching: true, Choices: []string{CardPressToShow}, ChoiceKey: "draft.card_", NoChoice: "draft.card_shown"}, pressToShowCard()},

	{Field{Name: "fits_people", Path: "fits.people", Group: "fits", Shown: Placed{Session, 2}, Teaching: true}, oneLine(newel.MaxLine, func(s *Step) *string { return &s.Fits.People })},
	{Field{Name: "fits_place", Path: "fits.place", Group: "fits", Shown: Placed{Session, 3}, Teaching: true}, oneLine(newel.MaxLine, func(s *Step) *string { return &s.Fits.Place })},
	{Field{Name: "fits_materials", Path: "fits.materials", Group: "fits", Shown: Placed{Session, 4}, Teaching: true}, oneLine(newel.MaxLine, func(s *Step) *string { return &s.Fits.Materials })},

	{Field{Name: "coping", Group: "coping", Shown: Placed{Learned, 3}}, tick(func(s *Step) *bool { return &s.Coping })},
	{Field{Name: "moment", Group: "coping", Shown: Placed{Trial, 1}, Teaching: true}, text(func(s *Step) *string { return &s.Moment })},
	{Field{Name: "food_reward", Group: "coping", Shown: Placed{Trial, 6}, Teaching: true}, tick(func(s *Step) *bool { return &s.FoodReward })},
	{
		Field{Name: "start_from", Group: "coping", Shown: Placed{Session, 8}, Choices: texts(newel.TrainingStates), ChoiceKey: "training.from.", NoChoice: "draft.start_default"},
		choice(func(s *Step) *newel.TrainingState { return &s.StartFrom }),
	},

	{Field{Name: "step_back", Group: "rules", Shown: Placed{MovingOn, 2}}, rule(func(s *Step) *string { return &s.StepBack })},
	{Field{Name: "advance_by_rule", Group: "rules", Shown: Placed{MovingOn, 3}}, tick(func(s *Step) *bool { return &s.AdvanceByRule })},
	{Field{Name: "rule_long", Path: "rules.long", Group: "rules", Shown: Placed{MovingOn, 4}, UnitKey: "read.sessions"}, wholeNumber(func(s *Step) *int { return &s.Rules.Long })},
	{Field{Name: "rule_floor", Path: "rules.floor_percent", Group: "rules", Shown: Placed{MovingOn, 5}, UnitKey: "read.percent"}, wholeNumber(func(s *Step) *int { return &s.Rules.FloorPercent })},
	{Field{Name: "rule_idle", Path: "rules.idle_days", Group: "rules", Shown: Placed{MovingOn, 6}, UnitKey: "read.days"}, wholeNumber(func(s *Step) *int { return &s.Rules.IdleDays })},
	{Field{Name: "rules_off", Path: "rules.off", Group: "rules", Shown: Placed{MovingOn, 7}, ChoiceKey: "flag."}, flagsOff()},
}

func texts[V ~string](values []V) []string {
	out := make([]string, len(values))
	for i, v := range values {
		out[i] = string(v)
	}
	return out
}

func prerequisiteLine(_ *Document, p Prerequisite) string { return p.Text }

func prerequisiteOf(_ *Document, line string) Prerequisite {
	return Prerequisite{Key: NewKey(), Text: line}
}

func materialLine(_ *Document, m Material) string { return bracketed(m.Text, m.Caution) }

func materialOf(_ *Document, line string) Material {
	text, caution := unbracketed(line)
	return Material{Text: text, Caution: caution}
}

func helpLevelLine(_ *Document, l HelpLevel) string { return l.line() }

func readHelpLevel(_ *Document, line string) HelpLevel { return helpLevelOf(line) }

func targetLine(_ *Document, t Target) string { return t.line() }

func readTarget(_ *Document, line string) Target { return targetOf(line) }

func expectationLine(_ *Document, x Expectation) string { return Target{Name: x.Name, In: x.In}.line() }

func readExpectation(_ *Document, line string) Expectation {
	t := targetOf(line)
	if t.Set != "" { // only targets have sets
		return Expectation{Key: t.Key, Name: line}
	}
	return Expectation{Key: t.Key, Name: t.Name, In: t.In}
}

func checkPrerequisites(e *newel.Invalid, d *Document, name string) {
	for _, p := range d.Prerequisites {
		e.Text(name, p.Text, newel.MaxLine, false)
	}
}

func checkMaterials(e *newel.Invalid, d *Document, name string) {
	for _, m := range d.Materials {
		e.Text(name, bracketed(m.Text, m.Caution), newel.MaxLine, false)
	}
}

func checkDifficulties(e *newel.Invalid, d *Document, name string) {
	for _, x := range d.Difficulties {
		e.Text(name, x.Text+x.Answer, newel.MaxNote, false)
	}
}

func checkChecklist(e *newel.Invalid, d *Document, name string) {
	for _, item := range d.Checklist {
		e.Text(name, item, newel.MaxLine, false)
	}
}

func checkNote(of func(*Document) string) func(e *newel.Invalid, d *Document, name string) {
	return func(e *newel.Invalid, d *Document, name string) { e.Text(name, of(d), newel.MaxNote, false) }
}
