package program

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/newel"
)

// Versions published before steps had these fields are identified by their
// hash, so empty fields must not appear in their canonical bytes.
func TestCanonicalBytesOfAnOldDocument(t *testing.T) {
	t.Parallel()
	d := Document{Title: "Old", Strands: []Strand{{Key: "a", Steps: []Step{{Key: "b", Targets: []Target{{Key: "c"}}}}}}}
	got, err := d.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"format":1,"title":"Old","skill_area":"","purpose":"","for_whom":"","setting":"","language":"","cautions":"",` +
		`"stop_rule":"","generalize":"","reinforcing":"","prerequisites":[],"materials":[],"difficulties":[],"help_levels":[],` +
		`"procedure":{"say":"","help_rule":"","wait_seconds":0,"if_right":"","if_not_yet":"","if_says_no":""},"checklist":[],` +
		`"maintenance_weeks":[],"strands":[{"key":"a","role":{"name":"","actions":""},"opens":[],"steps":[{"key":"b","label":"",` +
		`"name":"","say":"","done_when":"","context":"","targets":[{"key":"c","name":"","card":""}],"measure":"","trials":0,` +
		`"minutes":0,"choices":0,"planned_help":"","order":{"rule":"","block":0,"known":[],"known_share":0,"max_same":0},` +
		`"criterion":"","step_back":"","rules":{},"advance_by_rule":false,"coping":false,"food_reward":false}]}]}`
	if diff := cmp.Diff(want, string(got)); diff != "" {
		t.Error(diff)
	}
}

// full returns a step with every field set.
func full() Step {
	at := 0.0
	return Step{
		Key: "b1", Label: "B1", Name: "Hangs up the towel", DoneWhen: "Loop on the hook.", Phase: "massed trials", Measure: MeasureTrials, Trials: 5,
		Fits:  Fits{People: "one adult", Place: "bathroom", Materials: "short towel"},
		SayIn: Wordings{"ms": "Gantung tuala", "zh-Hant": "掛毛巾"}, Moment: "each time the hands are dry",
		Examples: []string{"loop on the hook", "loop on the other hook"}, NonExamples: []string{"towel on the floor"},
		LimitSeconds: 5, WaitSeconds: &at, AtOnce: 1, Tokens: 5, StartFrom: newel.TrainingShown,
		Targets: []Target{
			{Key: "t1", Name: "towel (small)", In: Wordings{"ms": "tuala"}, Set: "bathroom", Card: "T"},
			{Key: "t2", Name: "cloth"},
			{Key: "t3", Name: "rag (clean)"},
		},
		Criterion: "80% independent in 3 sessions in a row",
	}
}

func TestSheetHoldsAllOfAStep(t *testing.T) {
	t.Parallel()
	before := sound()
	before.Format, before.Thinning, before.Maintenance, before.Weeks, before.SessionsAWeek = DocumentFormat, "a", "b", 12, 4
	before.Procedure.SayIn = Wordings{"es": "Lávate: ya"}
	before.Procedure.HelpProcedure, before.Procedure.LessHelp, before.Procedure.MoreHelp = MostToLeast, "90% in 2 sessions", "below 50% in 2 sessions"
	before.Strands[0].Steps[0] = full()
	sheet := before.Sheet()
	if got, want := sheet.Fields["steps.b1.targets"], "towel (small) (set: bathroom; ms: tuala)\ncloth\nrag (clean)"; got != want {
		t.Errorf("targets: %q, want %q", got, want)
	}
	after := sheet.Document()
	after.CarryFrom(&before)
	if diff := cmp.Diff(before, after); diff != "" {
		t.Error(diff)
	}
	if findings := after.Check(); len(findings) != 0 {
		t.Errorf("findings: %v", findings)
	}
}

func TestUnparsableInputIsKept(t *testing.T) {
	t.Parallel()
	d := sound()
	for _, typed := range []string{"ms Basuh tangan", "zz9: x", "ms: a\nms: b", "MS: Basuh", "ms:"} {
		sheet := d.Sheet()
		sheet.Fields["say_in"] = typed
		after := sheet.Document()
		if after.Unparsed["say_in"] != typed || after.Check()[0].Key != "program.wordings" {
			t.Errorf("%q: unread %q, %v", typed, after.Unparsed["say_in"], after.Check())
		}
	}
}

func TestWordingsFallBackOnShorterTags(t *testing.T) {
	t.Parallel()
	w := Wordings{"pt": "copo", "zh-Hant": "杯"}
	for tag, want := range map[string]string{"pt": "copo", "pt-BR": "copo", "zh-Hant-TW": "杯", "zh": "cup", "": "cup", "en": "cup"} {
		if got := w.For(tag, "cup"); got != want {
			t.Errorf("%s: %q, want %q", tag, got, want)
		}
	}
}

func TestAFormNeedNotShowEverything(t *testing.T) {
	t.Parallel()
	before := sound()
	before.Format, before.Thinning = DocumentFormat, "every second time"
	before.Strands[0].Steps[0] = full()
	whole := before.Sheet()
	part := Sheet{Strands: whole.Strands, Fields: map[string]string{"title": "Hands", "steps.b1.examples": ""}}
	part.Strands = append(part.Strands, SheetStrand{Key: "new", Steps: []string{"n1"}})
	after := part.Completed(&before).Document()
	after.CarryFrom(&before)
	want := before
	want.Title = "Hands"
	want.Strands = append([]Strand{}, before.Strands...)
	want.Strands[0].Steps = append([]Step{}, before.Strands[0].Steps...)
	want.Strands[0].Steps[0].Examples = nil
	want.Strands = append(want.Strands, Strand{Key: "new", Steps: []Step{{Key: "n1"}}})
	if diff := cmp.Diff(want, after); diff != "" {
		t.Error(diff)
	}
}

func TestKitHasTheStepsWait(t *testing.T) {
	t.Parallel()
	d := sound()
	d.Procedure.WaitSeconds = 5
	at := 0.0
	d.Strands[0].Steps[1].WaitSeconds = &at
	for key, want := range map[string]float64{"b1": 5, "b2": 0} {
		if kit := MakeKit(newel.Placement{StepKey: key}, nil, newel.Learner{}, &d, KitFor{}); kit.WaitSeconds != want {
			t.Errorf("%s: %v seconds, want %v", key, kit.WaitSeconds, want)
		}
	}
}
