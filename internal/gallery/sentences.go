package gallery

import (
	"strconv"

	"newel/internal/program"
	"newel/internal/say"
	"newel/internal/view"
	"newel/internal/writing"
)

// staffSays returns the progress page of every scene.
func staffSays() []staffScene {
	var out []staffScene
	for _, s := range scenes() {
		m := say.ProgressPage(english(), s.stage().progress, say.Look{})
		m.Findings = apart(s.name, m.Findings)
		for i := range m.Splits {
			m.Splits[i].Findings = apart(s.name, m.Splits[i].Findings)
		}
		out = append(out, staffScene{s.name, s.about, m})
	}
	return out
}

type staffScene struct {
	name, about string
	page        view.ProgressPage
}

// familySays returns the family's page of every scene.
func familySays() []familyScene {
	var out []familyScene
	for _, s := range scenes() {
		m := say.PlainProgress(english(), s.stage().progress)
		m.Findings = apart(s.name, m.Findings)
		out = append(out, familyScene{s.name, s.about, m})
	}
	return out
}

type familyScene struct {
	name, about string
	page        view.PlainProgress
}

// apart makes the ids of findings unique on a page with many scenes.
func apart(name string, list []view.Finding) []view.Finding {
	for i := range list {
		list[i].ID = name + "-" + list[i].ID
	}
	return list
}

// caseloadOfScenes returns the caseload with a row for every scene that can
// have one.
func caseloadOfScenes() view.CaseloadPage {
	var list []staged
	for _, s := range scenes() {
		if !s.ended {
			list = append(list, s.stage())
		}
	}
	return say.CaseloadPage(english(), caseload(list), true)
}

// criterionBoxes returns the editor's panel for criteria that luck passes, that
// keep a child waiting, and that are sound.
func criterionBoxes() []namedBox {
	var curves writing.Curves
	var out []namedBox
	for _, x := range []struct {
		about, criterion string
		trials           int
		choices          int
		checked          bool
	}{
		{about: "Sound", criterion: "80% in 3 sessions in a row", trials: 6, checked: true},
		{about: "Passed by luck", criterion: "80% in 2 sessions in a row", trials: 5},
		{about: "Keeps a child waiting", criterion: "100% in 3 sessions in a row", trials: 10, checked: true},
		{about: "Too few trials for the goal", criterion: "100% in 3 sessions in a row", trials: 2},
		{about: "No sound criterion with so few trials", criterion: "100% in 3 sessions in a row", trials: 1},
		{about: "Fewer is better", criterion: "at most 20% in 2 sessions in a row", trials: 6},
		{about: "With a prompt", criterion: "90% with help up to show in 2 sessions in a row", trials: 10},
		{about: "A guesser passes", criterion: "60% in 3 of the last 5 sessions", trials: 5, choices: 2},
		{about: "No number of trials", criterion: "80% in 2 sessions in a row"},
		{about: "Not measured on trials", criterion: "at least 10 minutes in total in 3 sessions in a row"},
	} {
		step := program.Step{Key: "u2", Measure: program.MeasureTrials, Trials: x.trials, Choices: x.choices, Criterion: x.criterion}
		d := program.Document{HelpLevels: levels, Strands: []program.Strand{{Key: "a", Steps: []program.Step{step}}}}
		if x.checked {
			d.MaintenanceWeeks = []int{1, 2, 4}
		}
		v := curves.ReadCriterion(&d, &step, writing.CriterionInput{Text: x.criterion, Trials: strconv.Itoa(x.trials)})
		out = append(out, namedBox{x.about, say.CriterionBox(english(), v, nil)})
	}
	return out
}

type namedBox struct {
	about string
	box   view.CriterionBox
}
