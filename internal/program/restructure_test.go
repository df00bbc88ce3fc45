package program

import (
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/newel"
)

// shape returns the strands and the labels of their steps.
func shape(d *Document) string {
	var out []string
	for _, s := range d.Strands {
		var labels []string
		for _, step := range s.Steps {
			labels = append(labels, step.Label)
		}
		out = append(out, s.Key+": "+strings.Join(labels, " "))
	}
	return strings.Join(out, "; ")
}

func twoStrands() Document {
	d := sound()
	d.Strands = append(d.Strands, Strand{Key: "other", Opens: []Opening{{"chain", "b1"}}, Steps: []Step{{Key: "o1", Label: "B1"}}})
	d.Difficulties = []Difficulty{{Text: "Floods the floor", Steps: []string{"b1", "b2"}}}
	return d
}

func TestCopyStep(t *testing.T) {
	t.Parallel()
	d := twoStrands()
	key := d.CopyStep("b1")
	if got, want := shape(&d), "chain: B1 B1-2 B2; other: B1"; got != want {
		t.Fatalf("%s, want %s", got, want)
	}
	_, c := d.Step(key)
	_, original := d.Step("b1")
	if c.Targets[0].Key == original.Targets[0].Key || c.Criterion != original.Criterion {
		t.Errorf("the copy: %+v", c)
	}
	if d.CopyStep("nobody") != "" {
		t.Error("a missing step was copied")
	}
}

func TestSplitStep(t *testing.T) {
	t.Parallel()
	d := twoStrands()
	keys := d.SplitStep("b1", 3)
	if got, want := shape(&d), "chain: B1a B1b B1c B2; other: B1"; got != want {
		t.Fatalf("%s, want %s", got, want)
	}
	if _, old := d.Step("b1"); old != nil {
		t.Error("the old key is still in use")
	}
	if o := d.Strands[1].Opens[0]; o.Step != keys[2] || o.Strand != "chain" {
		t.Errorf("the other strand waits for %+v", o)
	}
	if diff := cmp.Diff(append(keys, "b2"), d.Difficulties[0].Steps); diff != "" {
		t.Error(diff)
	}
	for _, parts := range []int{-1, 0, 1, 1000} {
		if d.SplitStep("b2", parts) != nil {
			t.Errorf("split into %d", parts)
		}
	}
}

func TestPlaceStep(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		key, strand, after string
		want               string // empty: refused
	}{
		{"b1", "chain", "b2", "chain: B2 B1; other: B1"},
		{"b2", "chain", "", "chain: B2 B1; other: B1"},
		{"b1", "other", "o1", "chain: B2; other: B1 B1-2"},
		{"b2", "other", "", "chain: B1; other: B2 B1"},
		{"b1", "other", "b2", ""},
		{"b1", "chain", "b1", ""},
		{"b1", "nowhere", "", ""},
		{"zz", "chain", "", ""},
	} {
		d := twoStrands()
		before := shape(&d)
		done := d.PlaceStep(c.key, c.strand, c.after)
		want := c.want
		if want == "" {
			want = before
		}
		if shape(&d) != want || done != (c.want != "") {
			t.Errorf("%s to %s after %q: %s %v, want %s", c.key, c.strand, c.after, shape(&d), done, want)
		}
		if c.key == "b1" && done && d.Strands[1].Opens[0].Strand != c.strand {
			t.Errorf("%s to %s: the opening looks in %s", c.key, c.strand, d.Strands[1].Opens[0].Strand)
		}
	}
}

func TestRemovedStepsAreForgotten(t *testing.T) {
	t.Parallel()
	d := twoStrands()
	d.RemoveStep("b1")
	if len(d.Strands[1].Opens) != 0 || len(d.Difficulties[0].Steps) != 1 {
		t.Errorf("opens %v, difficulty %v", d.Strands[1].Opens, d.Difficulties[0])
	}
	d.MoveStrand("other", -5)
	d.MoveStrand("nobody", 1)
	if got, want := shape(&d), "other: B1; chain: B2"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// TestCloneSharesNothing changes everything that can be changed in a copy and
// checks that the original is unaffected.
func TestCloneSharesNothing(t *testing.T) {
	t.Parallel()
	d := twoStrands()
	d.Strands[0].Steps[0] = full()
	d.Strands[0].Steps[0].Picture, d.Strands[0].Steps[0].Targets[0].Picture = &newel.PictureRef{Alt: "a"}, &newel.PictureRef{Alt: "b"}
	d.Strands[0].Steps[0].Rules.Off, d.Strands[0].Steps[0].Order.Known = []string{"flat"}, []string{"cup"}
	program := newel.NewID[newel.ProgramID]()
	d.Prerequisites = []Prerequisite{{Key: "p1", Program: &program}}
	d.Materials, d.Checklist, d.MaintenanceWeeks = []Material{{Text: "soap"}}, []string{"x"}, []int{1}
	d.Needs, d.Teaches = []string{"waits"}, []TaughtSkill{{Skill: "washes"}}
	d.Procedure.SayIn, d.Unparsed = Wordings{"ms": "x"}, map[string]string{"weeks": "x"}
	c := d.Clone()
	if diff := cmp.Diff(d, c); diff != "" {
		t.Fatal(diff)
	}
	spoil(reflect.ValueOf(&c))
	want := twoStrands()
	want.Strands[0].Steps[0] = full()
	if d.Strands[0].Steps[0].Name != want.Strands[0].Steps[0].Name || strings.Contains(textOf(t, &d), "spoilt") {
		t.Errorf("the original was changed: %s", textOf(t, &d))
	}
}

func textOf(t *testing.T, d *Document) string {
	b, err := d.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	return string(b) + d.Unparsed["weeks"]
}

func spoil(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			spoil(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			spoil(v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			spoil(v.Index(i))
		}
	case reflect.Map:
		for _, key := range v.MapKeys() {
			v.SetMapIndex(key, reflect.ValueOf("spoilt").Convert(v.Type().Elem()))
		}
	case reflect.String:
		v.SetString("spoilt")
	case reflect.Int:
		v.SetInt(4711)
	}
}

// TestKeysAreNeverUsedAgain: whatever is done to the steps, no key occurs twice
// and no removed key returns.
func TestKeysAreNeverUsedAgain(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := twoStrands()
		gone := map[string]bool{}
		for range rapid.IntRange(1, 12).Draw(t, "deeds") {
			before := keysOf(&d)
			keys := append(before, "nobody")
			key := rapid.SampledFrom(keys).Draw(t, "step")
			strand := rapid.SampledFrom([]string{"chain", "other"}).Draw(t, "strand")
			switch rapid.IntRange(0, 4).Draw(t, "deed") {
			case 0:
				d.CopyStep(key)
			case 1:
				d.SplitStep(key, 2)
			case 2:
				d.PlaceStep(key, strand, rapid.SampledFrom(append(keys, "")).Draw(t, "after"))
			case 3:
				d.RemoveStep(key)
			case 4:
				d.AddStep(strand)
			}
			now := map[string]bool{}
			for _, k := range keysOf(&d) {
				if now[k] || gone[k] {
					t.Fatalf("key %s is used again", k)
				}
				now[k] = true
			}
			for _, k := range before {
				gone[k] = gone[k] || !now[k]
			}
		}
	})
}

func keysOf(d *Document) []string {
	var out []string
	for _, row := range d.StepRows(newel.VersionID{}) {
		out = append(out, row.Key)
	}
	return out
}
