package writing

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/criterion"
	"newel/internal/program"
)

// pattern returns the step that the ladders of these tests are derived from.
func pattern() program.Step {
	wait := 3.0
	return program.Step{
		Key: "pattern", Label: "P", Name: "Gives what is named", DoneWhen: "Hands over the thing named, at once.",
		Measure: program.MeasureTrials, Trials: 8, Fits: program.Fits{People: "one adult", Place: "at the table"},
		Targets: []program.Target{{Key: "t", Name: "cup", In: program.Wordings{"ms": "cawan"}}}, WaitSeconds: &wait,
	}
}

func document(steps ...program.Step) program.Document {
	return program.Document{
		Title: "Naming", Purpose: "To be given what one asks for.", StopRule: "At a stop sign.",
		Procedure:  program.Procedure{IfSaysNo: "Stop."},
		HelpLevels: []program.HelpLevel{{Name: "point"}, {Name: "show"}},
		Strands:    []program.Strand{{Key: "only", Steps: steps}},
	}
}

// shown formats each step on one line: label, name, phase, order, choices,
// trials, help, requirements, targets, criterion.
func shown(steps []program.Step) []string {
	var out []string
	for _, s := range steps {
		parts := []string{s.Label, s.Name, s.Phase}
		add := func(name, text string) {
			if text != "" && text != "0" {
				parts = append(parts, strings.TrimSpace(name+" "+text))
			}
		}
		add("", s.Order.Rule)
		add("of", string(rune('0'+s.Order.Block%10)))
		add("choices", string(rune('0'+s.Choices)))
		add("help", s.PlannedHelp)
		add("needs", contextOf(s.Fits))
		var names []string
		for _, t := range s.Targets {
			names = append(names, t.Name)
		}
		if s.Chain != "" {
			add(strings.TrimSpace(string(s.Chain)+" "+s.TaughtPart)+" of", strings.Join(names, "+"))
		} else {
			add("targets", strings.Join(names, "+"))
		}
		out = append(out, strings.Join(append(parts, s.Criterion), " | "))
	}
	return out
}

func TestLadders(t *testing.T) {
	t.Parallel()
	l := Ladder{Pattern: pattern(), Letter: "U"}
	plain := Ladder{Pattern: program.Step{Name: "Washes hands", Trials: 2}, Letter: "B", From: 3}
	waiting := Ladder{Pattern: program.Step{Name: "Waits", Measure: program.MeasureDuration}, Letter: "W"}
	own := Ladder{Pattern: pattern(), Letter: "U", Criterion: "100% in 4 sessions in a row, 8 or more trials"}
	for _, c := range []struct {
		name  string
		steps []program.Step
		want  []string
	}{
		{"massed trials", l.Massed("cup"), []string{
			"U1 | cup, nothing else there | massed trials | massed | needs one adult; at the table; only cup | targets cup | 80% independent in 2 sessions in a row, 8 or more trials, across 2 days",
			"U2 | cup, with other things there | massed trials with distractors | massed | choices 3 | needs one adult; at the table; cup and other things, in places that change | targets cup | 80% independent in 2 sessions in a row, 8 or more trials, across 2 days",
		}},
		{"next target", l.Next("mat", []string{"cup", "spoon"}), []string{
			"U1 | mat, nothing else there | massed trials | massed | needs one adult; at the table; only mat | targets mat | 80% independent in 2 sessions in a row, 8 or more trials, across 2 days",
			"U2 | mat, with what is known there | massed trials with distractors | massed | choices 3 | needs one adult; at the table; mat with cup and spoon, in places that change | targets mat | 80% independent in 2 sessions in a row, 8 or more trials, across 2 days",
			"U3 | cup, spoon and mat, in mixed order | random rotation | rotation | choices 3 | needs one adult; at the table | targets cup+spoon+mat | 80% independent in 3 sessions in a row, 8 or more trials, across 2 days",
		}},
		{"blocks", l.Blocks([]string{"cup", "spoon"}, []int{5, 1}), []string{
			"U1 | cup and spoon, 5 of each at a time | blocks | blocked | of 5 | choices 2 | needs one adult; at the table | targets cup+spoon | 80% independent in 2 sessions in a row, 8 or more trials, across 2 days",
			"U2 | cup and spoon, by turns | blocks | blocked | of 1 | choices 2 | needs one adult; at the table | targets cup+spoon | 80% independent in 2 sessions in a row, 8 or more trials, across 2 days",
		}},
		{"people", l.Generalize(ByPeople, DefaultPeople[:2]), []string{
			"U1 | Gives what is named: one adult | generalization | needs one adult; at the table | targets cup | 80% independent in 2 sessions in a row, 8 or more trials, across 2 days",
			"U2 | Gives what is named: two adults, one at a time | generalization | needs two adults, one at a time; at the table | targets cup | 80% independent in 2 sessions in a row, 8 or more trials, across 2 days",
		}},
		{"place", l.Generalize(ByPlace, []string{"in the shop"}), []string{
			"U1 | Gives what is named: in the shop | generalization | needs one adult; in the shop | targets cup | 80% independent in 2 sessions in a row, 8 or more trials, across 2 days",
		}},
		{"material", l.Generalize(ByMaterial, []string{"other cups"}), []string{
			"U1 | Gives what is named: other cups | generalization | needs one adult; at the table; other cups | targets cup | 80% independent in 2 sessions in a row, 8 or more trials, across 2 days",
		}},
		{"less help", l.LessHelp([]string{"point", "show"}), []string{
			"U1 | Gives what is named: with show | teaching | help show | needs one adult; at the table | targets cup | 90% with help up to show in 2 sessions in a row, 8 or more trials, across 2 days",
			"U2 | Gives what is named: with point | teaching | help point | needs one adult; at the table | targets cup | 90% with help up to point in 2 sessions in a row, 8 or more trials, across 2 days",
			"U3 | Gives what is named: alone | teaching | needs one adult; at the table | targets cup | 80% independent in 3 sessions in a row, 8 or more trials, across 2 days",
		}},
		{"forward", plain.Chain(program.ForwardChain, []string{"tap on", "rinse"}), []string{
			"B3 | tap on | teaching | forward tap on of tap on+rinse | 100% independent in 3 sessions in a row, 2 or more trials, each target, across 2 days",
			"B4 | rinse | teaching | forward rinse of tap on+rinse | 100% independent in 3 sessions in a row, 2 or more trials, each target, across 2 days",
		}},
		{"backward", plain.Chain(program.BackwardChain, []string{"tap on", "rinse", "dry"}), []string{
			"B3 | dry | teaching | backward dry of tap on+rinse+dry | 100% independent in 3 sessions in a row, 2 or more trials, each target, across 2 days",
			"B4 | rinse | teaching | backward rinse of tap on+rinse+dry | 100% independent in 3 sessions in a row, 2 or more trials, each target, across 2 days",
			"B5 | tap on | teaching | backward tap on of tap on+rinse+dry | 100% independent in 3 sessions in a row, 2 or more trials, each target, across 2 days",
		}},
		{"whole", plain.Chain(program.TotalTask, []string{"tap on", "dry"}), []string{
			"B3 | Washes hands: all of it | teaching | total of tap on+dry | 100% independent in 3 sessions in a row, 2 or more trials, each target, across 2 days",
		}},
		{"no links", plain.Chain(program.ForwardChain, nil), nil},
		{"rising time", waiting.Rising([]float64{1, 10}, Seconds), []string{
			"W1 | Waits: 1 second | teaching | 1 second in total in 3 sessions in a row, across 2 days",
			"W2 | Waits: 10 seconds | teaching | 10 seconds in total in 3 sessions in a row, across 2 days",
		}},
		{"rising, try by try", plain.Rising([]float64{2.5}, Minutes), []string{
			"B3 | Washes hands: 2.5 minutes | teaching | 80% independent in 3 sessions in a row, 2 or more trials, across 2 days",
		}},
		{"custom criterion", own.Rotation([]string{"cup", "mat"}), []string{
			"U1 | cup and mat, in mixed order | random rotation | rotation | choices 2 | needs one adult; at the table | targets cup+mat | 100% in 4 sessions in a row, 8 or more trials",
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if diff := cmp.Diff(c.want, shown(c.steps)); diff != "" {
				t.Error(diff)
			}
			sensible(t, c.steps)
		})
	}
}

// sensible checks that the steps can be published as they are and that their
// criteria are in canonical form.
func sensible(t *testing.T, steps []program.Step) {
	t.Helper()
	d := document(steps...)
	if len(steps) == 0 {
		return
	}
	if err := d.Publishable(); err != nil {
		t.Error(err)
	}
	for i := range steps {
		c, err := criterion.Parse(steps[i].Criterion, d.Vocabulary(&steps[i]))
		if err != nil || c.String() != steps[i].Criterion && !strings.HasPrefix(steps[i].Criterion, "100% in 4") {
			t.Errorf("%q is canonically %q (%v)", steps[i].Criterion, c.String(), err)
		}
	}
}

func TestDiscriminationRunsFromOneTargetToAll(t *testing.T) {
	t.Parallel()
	steps := Ladder{Pattern: pattern(), Letter: "D"}.Discrimination([]string{"cup", "spoon", "mat"}, DefaultBlocks)
	var phases []string
	for _, s := range steps {
		phases = append(phases, s.Phase)
	}
	want := "massed trials, massed trials with distractors, massed trials, massed trials with distractors, blocks, blocks, blocks, blocks, " +
		"random rotation, massed trials, massed trials with distractors, random rotation"
	if got := strings.Join(phases, ", "); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	sensible(t, steps)
	for _, phase := range phases {
		known := false
		for _, p := range program.Phases {
			known = known || p == phase
		}
		if !known {
			t.Errorf("the phase %q is not one of the usual ones", phase)
		}
	}
}

func TestRungsKeepTargetTextsAndHaveUniqueKeys(t *testing.T) {
	t.Parallel()
	p := pattern()
	p.Criterion = "90% independent in 2 sessions in a row"
	steps := Ladder{Pattern: p, Letter: "U"}.Generalize(ByPeople, DefaultPeople)
	keys := map[string]bool{"pattern": true, "t": true}
	for _, s := range steps {
		if s.Criterion != p.Criterion || s.Targets[0].In["ms"] != "cawan" || *s.WaitSeconds != 3 {
			t.Errorf("%s lost a property of the pattern: %+v", s.Label, s)
		}
		for _, key := range []string{s.Key, s.Targets[0].Key} {
			if keys[key] {
				t.Errorf("the key %s appears twice", key)
			}
			keys[key] = true
		}
	}
}

func TestOtherRole(t *testing.T) {
	t.Parallel()
	step := pattern()
	step.Name, step.Say = "Finder finds the disc", "Hide! Finders, hide your eyes."
	step.Examples = []string{"the finder looks under one cup"}
	from := program.Strand{Key: "f", Role: program.ActivityRole{Name: "Finder"}, Opens: []program.Opening{{Strand: "x", Step: "y"}}, Steps: []program.Step{step}}
	role := program.ActivityRole{Name: "Hider", Actions: "hides, waits"}
	got := OtherRole(&from, role, [][2]string{{"finds", "hides"}, {"looks under", "covers"}})
	s := got.Steps[0]
	if s.Name != "Hider hides the disc" || s.Say != "Hide! Finders, hide your eyes." || s.Examples[0] != "the hider covers one cup" {
		t.Errorf("%q, %q, %q", s.Name, s.Say, s.Examples)
	}
	if s.Key == step.Key || got.Key == from.Key || len(got.Opens) != 0 || got.Role != role {
		t.Errorf("the other role: %+v", got)
	}
	if from.Steps[0].Examples[0] != "the finder looks under one cup" {
		t.Error("the first role was changed")
	}
	back := OtherRole(&got, from.Role, [][2]string{{"finds", "hides"}, {"looks under", "covers"}})
	if back.Steps[0].Name != step.Name || back.Steps[0].Examples[0] != "the finder looks under one cup" {
		t.Errorf("there and back: %q, %q", back.Steps[0].Name, back.Steps[0].Examples)
	}
}

func TestJoinStep(t *testing.T) {
	t.Parallel()
	d := document(Ladder{Pattern: pattern(), Letter: "U"}.Massed("cup")...)
	d.Strands[0].Role.Name = "Finder"
	other := OtherRole(&d.Strands[0], program.ActivityRole{Name: "Hider"}, nil)
	d.Strands = append(d.Strands, other)
	group := Ladder{Pattern: pattern(), Letter: "G"}.Rotation([]string{"cup", "mat"})[0]
	key := JoinStep(&d, "Both", group, d.Strands[0].Steps[1].Key, other.Steps[1].Key)
	if err := d.Publishable(); err != nil || key == "" {
		t.Fatal(err)
	}
	joined := d.Strand(key)
	one, both := map[string]bool{d.Strands[0].Steps[1].Key: true}, map[string]bool{d.Strands[0].Steps[1].Key: true, other.Steps[1].Key: true}
	if joined.OpensAfter(one) || !joined.OpensAfter(both) {
		t.Error("it should open once both are met, and not before")
	}
	if JoinStep(&d, "Nobody", group, "zz") != "" || len(d.Strands) != 3 {
		t.Error("a join after a missing step was added")
	}
}
