package revision

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"newel/internal/program"
)

func base() program.Document {
	step := func(key, label string) program.Step {
		return program.Step{
			Key: key, Label: label, Name: "Hangs up the towel", DoneWhen: "Loop on the hook.", Measure: program.MeasureTrials, Trials: 5,
			Criterion: "80% independent in 3 sessions in a row", Targets: []program.Target{{Key: "t" + key, Name: "towel"}},
			Examples: []string{"loop on the hook"},
		}
	}
	return program.Document{
		Format: program.DocumentFormat, Title: "Washing hands", Purpose: "Clean hands before food.",
		Procedure:     program.Procedure{Say: "Wash hands", WaitSeconds: 5, SayIn: program.Wordings{"ms": "Basuh tangan"}},
		HelpLevels:    []program.HelpLevel{{Name: "point"}, {Name: "show"}},
		Prerequisites: []program.Prerequisite{{Key: "p1", Text: "stands on a stool"}},
		Strands: []program.Strand{
			{Key: "a", Role: program.ActivityRole{Name: "Washer"}, Steps: []program.Step{step("a1", "A1"), step("a2", "A2"), step("a3", "A3")}},
			{Key: "b", Role: program.ActivityRole{Name: "Helper"}, Opens: []program.Opening{{Strand: "a", Step: "a1"}}, Steps: []program.Step{step("b1", "B1"), step("b2", "B2")}},
		},
	}
}

func canonical(t interface{ Fatal(...any) }, d program.Document) string {
	b, err := d.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func merged(t interface{ Fatal(...any) }, b, m, th program.Document) (program.Document, []Conflict) {
	d, conflicts, err := Merge(b, m, th)
	if err != nil {
		t.Fatal(err)
	}
	return d, conflicts
}

// edited returns the document after random edits by an author.
func edited(t *rapid.T, from program.Document, who string) program.Document {
	d := from.Clone()
	for range rapid.IntRange(0, 5).Draw(t, who+" deeds") {
		var keys []string
		for _, s := range d.Strands {
			for _, step := range s.Steps {
				keys = append(keys, step.Key)
			}
		}
		strand := rapid.SampledFrom(append([]program.Strand{{Key: "a"}}, d.Strands...)).Draw(t, who+" strand").Key
		key := rapid.SampledFrom(append(keys, "zz")).Draw(t, who+" step")
		text := rapid.SampledFrom([]string{"one", "two", "", "<b>\"three\"</b>\nfour"}).Draw(t, who+" text")
		_, step := d.Step(key)
		switch deed := rapid.IntRange(0, 13).Draw(t, who+" deed"); deed {
		case 0:
			d.Title = text
		case 1:
			d.Materials = append(d.Materials, program.Material{Text: text})
		case 2:
			d.AddStep(strand)
		case 3:
			d.RemoveStep(key)
		case 4:
			d.MoveStep(key, rapid.IntRange(-2, 2).Draw(t, who+" by"))
		case 5:
			d.SplitStep(key, 2)
		case 6:
			d.PlaceStep(key, strand, "")
		case 7:
			d.RemoveStrand(strand)
		case 8:
			d.AddStep(d.AddStrand())
		case 9:
			d.Procedure.SayIn = program.Wordings{"ms": text, "es": text}
		case 10:
			d.Prerequisites = append(d.Prerequisites, program.Prerequisite{Key: program.NewKey(), Text: text})
		default:
			if step != nil {
				switch deed {
				case 11:
					step.Name = text
				case 12:
					step.Targets = append(step.Targets, program.Target{Key: program.NewKey(), Name: text})
				case 13:
					wait := 2.5
					step.WaitSeconds, step.Order.MaxSame, step.Coping = &wait, 2, true
				}
			}
		}
	}
	return d
}

func shape(d program.Document) string {
	var out []string
	for _, s := range d.Strands {
		keys := []string{s.Key + ":"}
		for _, step := range s.Steps {
			keys = append(keys, step.Key)
		}
		out = append(out, strings.Join(keys, " "))
	}
	return strings.Join(out, "; ")
}

func TestApartAndTogether(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := edited(t, base(), "somebody")
		d.Unparsed = map[string]string{"steps.a1.trials": "five"}
		tr, err := newTree(&d)
		if err != nil {
			t.Fatal(err)
		}
		again, err := tr.document()
		if err != nil {
			t.Fatal(err)
		}
		if canonical(t, d) != canonical(t, again) || again.Unparsed["steps.a1.trials"] != "five" {
			t.Errorf("%s\n%s", canonical(t, d), canonical(t, again))
		}
	})
}
