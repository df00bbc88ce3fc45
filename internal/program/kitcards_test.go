package program

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/newel"
)

func targetNames(list []Target) string {
	var names []string
	for _, t := range list {
		names = append(names, t.Name)
	}
	return strings.Join(names, " ")
}

func TestTargetsNow(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name                  string
		atOnce                int
		met                   string
		taught, met_, waiting string
	}{
		{"together", 0, "c", "cup spoon fork", "", ""},
		{"one at a time", 1, "", "cup", "", "spoon fork"},
		{"two at a time", 2, "", "cup spoon", "", "fork"},
		{"the next target is introduced", 2, "c", "spoon fork", "cup", ""},
		{"out of turn", 1, "s", "cup", "spoon", "fork"},
		{"the last", 1, "c s", "fork", "cup spoon", ""},
		{"all are met: all are taught", 1, "c s f", "cup spoon fork", "", ""},
		{"met targets that no longer exist", 1, "x", "cup", "", "spoon fork"},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			s := Step{Measure: MeasureTrials, AtOnce: test.atOnce, Targets: []Target{{Key: "c", Name: "cup"}, {Key: "s", Name: "spoon"}, {Key: "f", Name: "fork"}}}
			taught, met, waiting := s.CurrentTargets(strings.Fields(test.met))
			if diff := cmp.Diff([]string{test.taught, test.met_, test.waiting}, []string{targetNames(taught), targetNames(met), targetNames(waiting)}); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestKitCards(t *testing.T) {
	t.Parallel()
	d := sound()
	d.Strands[0].Steps = append(d.Strands[0].Steps, Step{Key: "z9", Targets: []Target{{Key: "b", Name: "ball", Picture: &newel.PictureRef{SHA256: "x"}}}})
	step := &d.Strands[0].Steps[0]
	step.Targets = []Target{{Key: "c", Name: "cup", In: Wordings{"ms": "cawan"}}, {Key: "s", Name: "spoon"}}
	step.AtOnce, step.Measure = 1, MeasureTrials
	step.Order = Order{Rule: OrderRotation, Known: []string{"Ball", "spoon", " car ", "ball"}, KnownShare: 50}
	p := newel.Placement{ID: newel.NewID[newel.PlacementID](), StepKey: step.Key}
	kit := MakeKit(p, nil, newel.Learner{}, &d, KitFor{Language: "ms", Met: []string{"c"}})
	if got := targetNames(kit.Targets) + "/" + targetNames(kit.Known); got != "spoon/ball car cawan" || !kit.TrialByTrial {
		t.Errorf("taught/known %s, one by one %v", got, kit.TrialByTrial)
	}
	if got := d.PicturesOf(step); len(got) != 1 || got[0].SHA256 != "x" {
		t.Errorf("a session may show %+v", got)
	}
	if kit.Known[0].Picture == nil || kit.Known[1].Key != "car" {
		t.Errorf("known cards %+v", kit.Known)
	}
	step.Order.KnownShare = 0
	if kit := MakeKit(p, nil, newel.Learner{}, &d, KitFor{Met: []string{"c"}}); len(kit.Known) > 0 {
		t.Errorf("no share of known targets is set, but the kit has %+v", kit.Known)
	}
}

func TestExactWordsInTheFamilysLanguage(t *testing.T) {
	t.Parallel()
	own := "Wash!"
	for _, test := range []struct {
		name, say string
		sayIn     Wordings
		override  *string
		family    string
		want, all string
	}{
		{"the procedure's", "", nil, nil, "ms", "Basuh tangan", "en:Wash hands ms:Basuh tangan"},
		{"a language without a translation", "", nil, nil, "nb", "Wash hands", "en:Wash hands ms:Basuh tangan"},
		{"the procedure's translations do not apply to a step's own words", "Soap", nil, nil, "ms", "Soap", ""},
		{"and have theirs", "Soap", Wordings{"ms": "Sabun"}, nil, "ms-MY", "Sabun", "en:Soap ms:Sabun"},
		{"the step's translation alongside the procedure's", "", Wordings{"es": "Lávate"}, nil, "es", "Lávate", "en:Wash hands es:Lávate ms:Basuh tangan"},
		{"one learner's own words", "", nil, &own, "ms", "Wash!", ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			d := sound()
			d.Language, d.Procedure.Say, d.Procedure.SayIn = "en", "Wash hands", Wordings{"ms": "Basuh tangan"}
			step := &d.Strands[0].Steps[0]
			step.Say, step.SayIn = test.say, test.sayIn
			kit := MakeKit(newel.Placement{StepKey: step.Key}, map[string]newel.StepOverride{step.Key: {Say: test.override}}, newel.Learner{}, &d, KitFor{Language: test.family})
			var all []string
			for _, s := range kit.SayIn {
				all = append(all, s.Lang+":"+s.Text)
			}
			if got := strings.Join(all, " "); kit.Say != test.want || got != test.all {
				t.Errorf("say %q in %q, want %q in %q", kit.Say, got, test.want, test.all)
			}
		})
	}
	if languageName("nb") != "norsk bokmål" { // how the language writes its name (CLDR)
		t.Error(languageName("nb"))
	}
}
