package program

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/text/unicode/norm"
	"pgregory.net/rapid"

	"newel/internal/criterion"
	"newel/internal/newel"
)

// sound returns a document in which Check finds nothing.
func sound() Document {
	step := func(key, label string) Step {
		return Step{
			Key: key, Label: label, Name: "Hangs up the towel", DoneWhen: "Loop on the hook.", Measure: MeasureTrials, Trials: 5,
			Criterion: "80% independent in 3 sessions in a row", Targets: []Target{{Key: "t" + key, Name: "towel"}},
		}
	}
	return Document{
		Title: "Washing hands", Purpose: "Clean hands.", StopRule: "At a stop sign.", Procedure: Procedure{IfSaysNo: "Stop."},
		HelpLevels: []HelpLevel{{Name: "point"}, {Name: "show"}},
		Strands:    []Strand{{Key: "chain", Steps: []Step{step("b1", "B1"), step("b2", "B2")}}},
	}
}

func TestCheck(t *testing.T) {
	t.Parallel()
	second := func(d *Document) *Strand {
		d.Strands[0].Role.Name = "Finder"
		d.Strands = append(d.Strands, Strand{Key: "hider", Role: ActivityRole{Name: "Hider"}, Steps: []Step{{
			Key: "h1", Label: "B1", Name: "Hides", DoneWhen: "Hidden.", Measure: MeasureTrials, Trials: 5, Criterion: "80% in 2 sessions in a row",
		}}})
		return &d.Strands[1]
	}
	for _, c := range []struct {
		name   string
		change func(*Document)
		want   string // field and key of the only finding; "!" before one that blocks publishing
	}{
		{"sound", func(*Document) {}, ""},
		{"no title", func(d *Document) { d.Title = "  " }, "!title field.required"},
		{"long title", func(d *Document) { d.Title = strings.Repeat("ü", newel.MaxLine+1) }, "!title field.too_long"},
		{"control character", func(d *Document) { d.Purpose = "a\x07b" }, "!purpose field.control_characters"},
		{"no step", func(d *Document) { d.Strands[0].Steps = nil }, "!steps program.no_steps"},
		{"no strand", func(d *Document) { d.Strands = nil }, "!steps program.no_steps"},
		{"key twice", func(d *Document) { d.Strands[0].Steps[1].Key = "b1" }, "!steps program.keys"},
		{"key of no form", func(d *Document) { d.Strands[0].Steps[1].Key = "<b>" }, "!steps program.keys"},
		{"label twice", func(d *Document) { d.Strands[0].Steps[1].Label = "b1" }, "!steps.b2.label program.label_twice"},
		{"no label", func(d *Document) { d.Strands[0].Steps[1].Label = "" }, "!steps.b2.label field.required"},
		{"label does not fit a stair", func(d *Document) { d.Strands[0].Steps[1].Label = "ABCDEFGHIJKLM" }, "!steps.b2.label field.too_long"},
		{"no name", func(d *Document) { d.Strands[0].Steps[1].Name = "" }, "!steps.b2.name field.required"},
		{"no criterion", func(d *Document) { d.Strands[0].Steps[0].Criterion = "" }, "!steps.b1.criterion criterion.empty"},
		{"criterion without a window", func(d *Document) { d.Strands[0].Steps[0].Criterion = "80% independent" }, "!steps.b1.criterion criterion.window"},
		{"criterion with a different measure", func(d *Document) { d.Strands[0].Steps[0].Criterion = "2 per minute in 2 sessions" }, "!steps.b1.criterion program.criterion_measure"},
		{"probes only, and none is planned", func(d *Document) { d.Strands[0].Steps[0].Criterion = "80% in 2 sessions, probes only" }, "!steps.b1.criterion program.criterion_no_probes"},
		{"probes only, with probes", func(d *Document) {
			d.Strands[0].Steps[0].Criterion, d.Strands[0].Steps[0].ProbeEvery = "80% in 2 sessions, probes only", 3
		}, ""},
		{"teaching only, and every session is a probe", func(d *Document) {
			d.Strands[0].Steps[0].Criterion, d.Strands[0].Steps[0].ProbeEvery = "80% in 2 sessions, teaching only", 1
		}, "!steps.b1.criterion program.criterion_only_probes"},
		{"teaching only, with some probes", func(d *Document) {
			d.Strands[0].Steps[0].Criterion, d.Strands[0].Steps[0].ProbeEvery = "80% in 2 sessions, teaching only", 4
		}, ""},
		{"step back with breadth", func(d *Document) { d.Strands[0].Steps[0].StepBack = "below 50% in 2 sessions, across 2 people" }, "!steps.b1.step_back criterion.step_back"},
		{"help unknown", func(d *Document) { d.Strands[0].Steps[0].PlannedHelp = "shout" }, "!steps.b1.planned_help program.help_unknown"},
		{"help twice", func(d *Document) { d.HelpLevels[1].Name = "Point" }, "!help_levels program.help_twice"},
		{"touch", func(d *Document) { d.HelpLevels[1].Touch = true }, "help_levels program.touch"},
		{"target twice", func(d *Document) {
			s := &d.Strands[0].Steps[0]
			s.Targets = append(s.Targets, Target{Key: "x", Name: "towel"})
		}, "!steps.b1.targets program.target_twice"},
		{"no trials", func(d *Document) { d.Strands[0].Steps[0].Trials = 0 }, "!steps.b1.trials program.trials"},
		{"no measure", func(d *Document) { d.Strands[0].Steps[0].Measure = "" }, "!steps.b1.measure program.measure"},
		{"one thing to choose from", func(d *Document) { d.Strands[0].Steps[0].Choices = 1 }, "!steps.b1.choices program.choices"},
		// 100·2/3 < 80, so all 3 of 3 trials must be correct.
		{"80 % of 3 is 3 of 3", func(d *Document) { d.Strands[0].Steps[0].Trials = 3 }, "steps.b1.criterion program.only_all"},
		{"above 80 % of 5 is 5 of 5", func(d *Document) { d.Strands[0].Steps[0].Criterion = "above 80% in 2 sessions" }, "steps.b1.criterion program.only_all"},
		{"100 % obviously means all", func(d *Document) { d.Strands[0].Steps[0].Criterion = "100% in 2 sessions" }, ""},
		{"fewer trials than the criterion requires", func(d *Document) {
			d.Strands[0].Steps[0].Criterion = "80% independent in 3 sessions in a row, 10 or more trials"
		}, "!steps.b1.criterion program.trials_below_criterion"},
		{"more than everything", func(d *Document) { d.Strands[0].Steps[0].Criterion = "above 100% in 2 sessions" }, "!steps.b1.criterion program.goal_unreachable"},
		{"less than nothing", func(d *Document) { d.Strands[0].Steps[0].Criterion = "below 0% in 2 sessions" }, "!steps.b1.criterion program.goal_unreachable"},
		{"of the last 3, across 4 days", func(d *Document) {
			d.Strands[0].Steps[0].Criterion = "80% in 2 of the last 3 sessions, across 4 days"
		}, "!steps.b1.criterion program.breadth_unreachable"},
		{"in a row, a run can grow longer", func(d *Document) { d.Strands[0].Steps[0].Criterion = "80% in 2 sessions in a row, across 4 days" }, ""},
		{"each of more targets than trials", func(d *Document) {
			s := &d.Strands[0].Steps[0]
			s.Criterion, s.Trials, s.Targets = "100% in 2 sessions, each target", 1, append(s.Targets, Target{Key: "x", Name: "tap"})
		}, "!steps.b1.criterion program.trials_below_targets"},
		{"one after another, one trial is enough", func(d *Document) {
			s := &d.Strands[0].Steps[0]
			s.Criterion, s.Trials, s.Targets = "100% in 2 sessions, each target", 1, append(s.Targets, Target{Key: "x", Name: "tap"})
			s.AtOnce = 1
		}, ""},
		{"more at once than there are targets", func(d *Document) { d.Strands[0].Steps[0].AtOnce = 2 }, "!steps.b1.at_once program.at_once"},
		{"words in no language", func(d *Document) { d.Procedure.SayIn = Wordings{"xyz1": "Basuh tangan"} }, "!say_in program.wordings"},
		{"words on two lines", func(d *Document) { d.Strands[0].Steps[0].SayIn = Wordings{"ms": "Basuh\ntangan"} }, "!steps.b1.say_in field.one_line"},
		{"a help procedure of no name", func(d *Document) { d.Procedure.HelpProcedure = "shouting" }, "!help_procedure program.help_procedure"},
		{"a rule for less help", func(d *Document) { d.Procedure.LessHelp = "90% in 2 sessions in a row" }, ""},
		{"a rule for more help with breadth", func(d *Document) { d.Procedure.MoreHelp = "below 50% in 2 sessions, across 2 days" }, "!more_help criterion.step_back"},
		{"a phase as long as a page", func(d *Document) { d.Strands[0].Steps[0].Phase = strings.Repeat("a", newel.MaxName+1) }, "!steps.b1.phase field.too_long"},
		{"no purpose", func(d *Document) { d.Purpose = "" }, "purpose program.no_purpose"},
		{"no stop rule", func(d *Document) { d.StopRule = "" }, "stop_rule program.no_stop_rule"},
		{"nothing for a no", func(d *Document) { d.Procedure.IfSaysNo = "" }, "if_says_no program.no_says_no"},
		{"no response definition", func(d *Document) { d.Strands[0].Steps[0].DoneWhen = "" }, "steps.b1.done_when program.no_done_when"},
		{"food", func(d *Document) { d.Strands[0].Steps[0].FoodReward = true }, "steps.b1.name program.food"},
		{"typed words for trials", func(d *Document) {
			d.Strands[0].Steps[0].Trials = 0
			d.Unparsed = map[string]string{"steps.b1.trials": "five"}
		}, "!steps.b1.trials program.number"},
		{"two roles", func(d *Document) { second(d).Opens = []Opening{{"chain", "b2"}} }, ""},
		{"role without a name", func(d *Document) { second(d).Role.Name = "" }, "!strands.hider.role field.required"},
		{"role twice", func(d *Document) { second(d).Role.Name = "finder" }, "!strands.hider.role program.role_twice"},
		{"opens after nothing", func(d *Document) { second(d).Opens = []Opening{{"chain", "zz"}} }, "!strands.hider.opens program.opens_unknown"},
		{"waits for itself", func(d *Document) { second(d).Opens = []Opening{{"hider", "h1"}} }, "!strands.hider.opens program.opens_cycle"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := sound()
			c.change(&d)
			var got []string
			for _, f := range d.Check() {
				mark := ""
				if f.Severity == BlocksPublishing {
					mark = "!"
				}
				got = append(got, mark+f.Field+" "+f.Key)
			}
			if want := strings.Fields(c.want); strings.Join(got, "; ") != strings.Join(want, " ") {
				t.Errorf("Check() = %q, want %q", got, c.want)
			}
			if (d.Publishable() == nil) == strings.HasPrefix(c.want, "!") {
				t.Errorf("Publishable() = %v", d.Publishable())
			}
		})
	}
}

func TestRolesWaitingForEachOtherAreFound(t *testing.T) {
	t.Parallel()
	d := sound()
	d.Strands = append(d.Strands, Strand{Key: "other", Role: ActivityRole{Name: "Other"}, Opens: []Opening{{"chain", "b1"}}, Steps: []Step{{Key: "o1", Label: "O1"}}})
	d.Strands[0].Opens = []Opening{{"other", "o1"}}
	keys := map[string]int{}
	for _, f := range d.Check() {
		keys[f.Key]++
	}
	if keys["program.opens_cycle"] != 2 || keys["program.opens_never"] != 1 {
		t.Errorf("findings: %v", keys)
	}
}

func TestInvalidCriterionNamesThePartAndAnExample(t *testing.T) {
	t.Parallel()
	d := sound()
	d.Strands[0].Steps[0].Criterion = "80% independent in three sessions"
	f := d.Check()[0]
	example, _ := f.Args["example"].(string)
	if _, err := criterion.Parse(example, criterion.Vocabulary{}); err != nil {
		t.Errorf("the example %q is not valid: %v", example, err)
	}
	if part, _ := f.Args["part"].(string); !strings.Contains(part, "three sessions") {
		t.Errorf("part = %q", part)
	}
}

func TestCanonicalIsTheSameAfterStoring(t *testing.T) {
	t.Parallel()
	d := sound()
	d.Unparsed = map[string]string{"steps.b1.trials": "five"}
	first, err := d.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	again := sound()
	again.Difficulties, again.Materials = []Difficulty{}, []Material{}
	second, err := again.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(first), string(second)); diff != "" {
		t.Errorf("nil or empty lists and unparsed input must not matter:\n%s", diff)
	}
	a, _ := d.Hash()
	again.Title = "Washing hand"
	if b, _ := again.Hash(); a == b || len(a) != 64 {
		t.Errorf("hashes %s and %s", a, b)
	}
}

// line generates text as a person might type it on one line: any script,
// surrounding spaces, markup, brackets and commas.
func line() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.StringMatching(`[a-zA-Z ,:()]{0,20}`),
		rapid.SampledFrom([]string{"", "قل لا", "🧼 soap", "<b>bold</b>", "a (b (c))", "(touch)", "point (touch)", "5", "5.5", "-1", "ten", "U1, U2", "a: b: c"}),
	)
}

// TestSheetKeepsWhatWasTyped: everything typed is in the form again after
// saving, except white space at the ends of lines and empty lines.
func TestSheetKeepsWhatWasTyped(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		sheet := Sheet{Fields: map[string]string{}, Strands: []SheetStrand{{Key: "s1", Steps: []string{"a1", "a2"}}, {Key: "s2", Steps: []string{"b1"}}}}
		blank := sheet.Document()
		blank = Document{Strands: blank.Strands}
		for name := range blank.Sheet().Fields {
			text := line().Draw(t, name)
			if rapid.Bool().Draw(t, "two lines") {
				text += "\r\n" + line().Draw(t, name+" more")
			}
			sheet.Fields[name] = text
		}
		first := sheet.Document()
		again := first.Sheet()
		if diff := cmp.Diff(sheet.Strands, again.Strands); diff != "" {
			t.Fatal(diff)
		}
		for name, typed := range sheet.Fields {
			if got := again.Fields[name]; letters(got) != letters(typed) {
				t.Errorf("%s: typed %q, stored %q", name, typed, got)
			}
		}
		second := again.Document()
		second.CarryFrom(&first)
		if diff := cmp.Diff(again, second.Sheet()); diff != "" {
			t.Errorf("saving again changed something:\n%s", diff)
		}
	})
}

// letters drops what normalization may change: white space, commas between list
// items, colons and brackets with nothing in them, and canonically equivalent
// spellings.
func letters(s string) string {
	s = norm.NFC.String(s)
	s = strings.Map(func(r rune) rune {
		if strings.ContainsRune(" \t\r\n,:()", r) {
			return -1
		}
		return r
	}, s)
	return s
}

func TestCarryFromKeepsFieldsOutsideTheSheet(t *testing.T) {
	t.Parallel()
	before := sound()
	program := newel.NewID[newel.ProgramID]()
	before.Prerequisites = []Prerequisite{{Key: "p1", Text: "stands", Program: &program}, {Key: "p2", Text: "waits"}}
	before.Strands[0].Steps[0].Coping = true
	before.Strands[0].Steps[0].Rules.Long = 30
	sheet := before.Sheet()
	sheet.Fields["prerequisites"] = "waits\nstands"
	after := sheet.Document()
	after.CarryFrom(&before)
	want := []Prerequisite{{Key: "p2", Text: "waits"}, {Key: "p1", Text: "stands", Program: &program}}
	if diff := cmp.Diff(want, after.Prerequisites); diff != "" {
		t.Error(diff)
	}
	after.Prerequisites = before.Prerequisites
	after.Format = before.Format
	if diff := cmp.Diff(before, after); diff != "" {
		t.Errorf("the form lost something:\n%s", diff)
	}
}

func TestEditing(t *testing.T) {
	t.Parallel()
	d := sound()
	labels := func() string {
		var out []string
		for _, s := range d.Strands[0].Steps {
			out = append(out, s.Label)
		}
		return strings.Join(out, " ")
	}
	key := d.AddStep("chain")
	_, added := d.Step(key)
	added.Label = "B3"
	if added.Criterion != "80% independent in 3 sessions in a row" || added.Trials != 5 {
		t.Errorf("a new step should copy what stays the same: %+v", added)
	}
	for _, move := range []struct {
		by   int
		want string
	}{{-1, "B1 B3 B2"}, {-9, "B3 B1 B2"}, {1, "B1 B3 B2"}, {9, "B1 B2 B3"}, {0, "B1 B2 B3"}} {
		if d.MoveStep(key, move.by); labels() != move.want {
			t.Errorf("moved by %d: %s, want %s", move.by, labels(), move.want)
		}
	}
	role := d.AddStrand()
	d.Strand(role).Opens = []Opening{{"chain", key}}
	d.RemoveStep(key)
	if labels() != "B1 B2" || len(d.Strand(role).Opens) != 0 {
		t.Errorf("after removing: %s, opens %v", labels(), d.Strand(role).Opens)
	}
	d.MoveStep("nobody", 1)
	d.RemoveStep("nobody")
	d.RemoveStrand("nobody")
	if d.AddStep("nobody") != "" || labels() != "B1 B2" {
		t.Error("a missing step was changed")
	}
	d.RemoveStrand(role)
	if len(d.Strands) != 1 {
		t.Error("the role is still there")
	}
}

func TestKeysAreWellFormedAndUnique(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for range 1000 {
		key := NewKey()
		if !KnownKey(key) || seen[key] {
			t.Fatalf("key %q", key)
		}
		seen[key] = true
	}
}

func TestKitOmitsTouchThatIsNotAllowed(t *testing.T) {
	t.Parallel()
	d := sound()
	d.HelpLevels = append(d.HelpLevels, HelpLevel{Name: "light touch", Touch: true})
	say, trials := "Towel!", 8
	overrides := map[string]newel.StepOverride{"b1": {Say: &say, Trials: &trials}}
	p := newel.Placement{ID: newel.NewID[newel.PlacementID](), StepKey: "b1", PlannedHelp: "light touch"}
	for _, allowed := range []bool{false, true} {
		kit := MakeKit(p, overrides, newel.Learner{Nickname: "Rami", Care: newel.Care{TouchAllowed: allowed, StopSigns: "turns away"}}, &d, KitFor{})
		want, planned := []string{"point", "show"}, ""
		if allowed {
			want, planned = append(want, "light touch"), "light touch"
		}
		if diff := cmp.Diff(want, kit.HelpLevels); diff != "" || kit.PlannedHelp != planned {
			t.Errorf("touch allowed %v: planned %q %s", allowed, kit.PlannedHelp, diff)
		}
		if kit.Say != "Towel!" || kit.Trials != 8 || kit.StopSigns != "turns away" || kit.Contract != KitContract {
			t.Errorf("kit = %+v", kit)
		}
	}
}
