package programfile

import (
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"golang.org/x/text/unicode/norm"
	"pgregory.net/rapid"

	"newel/internal/newel"
	"newel/internal/program"
)

// same treats a missing list and an empty one as equal.
func same(t interface{ Errorf(string, ...any) }, want, got program.Document) {
	if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("the document changed:\n%s", diff)
	}
}

func roundTrip(t interface {
	Errorf(string, ...any)
	Fatalf(string, ...any)
}, d program.Document,
) {
	file := Export(d)
	again, problems := Parse(file)
	if len(problems) > 0 {
		t.Fatalf("%+v\n%s", problems, file)
	}
	d.Format = program.DocumentFormat
	same(t, d, again)
	if diff := cmp.Diff(string(file), string(Export(again))); diff != "" {
		t.Errorf("the file changed:\n%s", diff)
	}
}

// text generates field values: every script, and what YAML easily
// misinterprets.
func text() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.StringMatching(`[a-z ,:#'"{}\[\]&*!|>%@\-?\n\t]{0,12}`),
		rapid.String(),
		rapid.SampledFrom([]string{
			"no", "null", "~", "yes", "12", "1_000", "0x1f", "1e3", ".5", "12:30:45", "2026-01-01", "<<", "---", "...", "- a", "a: b", "a #b", "a:",
			" leading", "trailing ", "two\nlines", "two\n\nlines\n", "\nfirst empty", "two\n  indented", " indented\nfirst", "ends\n\n", "tab\tin", "\ttab\nfirst",
			"cr\r\nlf", "nbsp\u00a0here", "line\u2028sep", "nel\u0085", "\ufeffbom", "קוּם", "اغسل يديك", "掛毛巾", "🧼 soap", "a\n \nb", "= value", "“quoted”: x", "true\n", "é", "é", "\U000e0001tag",
		}),
	)
}

// storable returns a text as a form would store it.
func storable(text string) string {
	text = strings.ReplaceAll(norm.NFC.String(strings.ToValidUTF8(text, "")), "\x00", "")
	return norm.NFC.String(strings.ReplaceAll(text, "\r\n", "\n"))
}

// fill sets every field of a value.
func fill(t *rapid.T, v reflect.Value) {
	switch {
	case v.Type() == reflect.TypeFor[newel.ProgramID]():
		v.Set(reflect.ValueOf(newel.NewID[newel.ProgramID]()))
		return
	case v.Kind() != reflect.Struct && rapid.IntRange(0, 3).Draw(t, "leave out") == 0:
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for _, m := range members(v.Type()) {
			if m.name == "key" {
				v.Field(m.index).SetString(program.NewKey())
				continue
			}
			fill(t, v.Field(m.index))
		}
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(t, v.Elem())
	case reflect.Slice:
		n := rapid.IntRange(0, 2).Draw(t, "length")
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			fill(t, v.Index(i))
		}
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		for _, key := range []string{"no", "zh-Hant", "steps.b1.trials"}[:rapid.IntRange(0, 3).Draw(t, "entries")] {
			v.SetMapIndex(reflect.ValueOf(key), reflect.ValueOf(storable(text().Draw(t, key))))
		}
	case reflect.String:
		v.SetString(storable(text().Draw(t, "text")))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int:
		v.SetInt(rapid.Int64Range(0, 1000).Draw(t, "whole"))
	case reflect.Float64:
		v.SetFloat(rapid.SampledFrom([]float64{0, 0.1, 2.5, 600}).Draw(t, "number"))
	}
}

func TestRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var d program.Document
		fill(t, reflect.ValueOf(&d).Elem())
		roundTrip(t, d)
	})
}

func TestExport(t *testing.T) {
	t.Parallel()
	wait := 0.0
	d := program.Document{
		Title: "Putting on shoes", Purpose: "To go out\nwithout hurry.",
		Materials: []program.Material{{Text: "shoes", Caution: "small: choking"}, {}},
		Procedure: program.Procedure{SayIn: program.Wordings{"no": "Ta på skoene", "ms": "Pakai kasut"}},
		Strands: []program.Strand{{Key: "only", Steps: []program.Step{{
			Key: "s1", Label: "S1", Criterion: "80% independent in 3 sessions in a row", WaitSeconds: &wait, Examples: []string{"heel in", "yes"}, Trials: 5,
		}}}},
		MaintenanceWeeks: []int{1, 4},
	}
	const want = `newel_program: 1
title: Putting on shoes
purpose: |-
  To go out
  without hurry.
materials:
  - text: shoes
    caution: "small: choking"
  - {}
procedure:
  say_in:
    ms: Pakai kasut
    "no": Ta på skoene
maintenance_weeks:
  - 1
  - 4
strands:
  - key: only
    steps:
      - key: s1
        label: S1
        trials: 5
        criterion: 80% independent in 3 sessions in a row
        examples:
          - heel in
          - "yes"
        wait_seconds: 0
`
	if diff := cmp.Diff(want, string(Export(d))); diff != "" {
		t.Error(diff)
	}
}

func TestProblemsNameTheirPlace(t *testing.T) {
	t.Parallel()
	const head = "newel_program: 1\n"
	for _, c := range []struct {
		name, file, key, field string
		line                   int
		arg                    string // name=value
	}{
		{"a mistyped field", head + "titel: Shoes", "file.unknown", "titel", 2, "meant=title"},
		{"a mistyped field of a step", head + "strands:\n  - steps:\n      - label: S1\n        criterium: x", "file.unknown", "strands.1.steps.1.criterium", 5, "meant=criterion"},
		{"a field with an unknown name", head + "price: 3", "file.unknown", "price", 2, "meant="},
		{"a field twice", head + "title: a\ntitle: b", "file.twice", "title", 3, ""},
		{"text for a number", head + "weeks: many", "file.wants_whole", "weeks", 2, "typed=many"},
		{"a negative number", head + "weeks: -1", "file.wants_whole", "weeks", 2, ""},
		{"a fraction", head + "weeks: 1.5", "file.wants_whole", "weeks", 2, ""},
		{"no number", head + "procedure:\n  wait_seconds: .nan", "file.wants_number", "procedure.wait_seconds", 3, ""},
		{"perhaps", head + "strands:\n  - steps:\n      - coping: maybe", "file.wants_truth", "strands.1.steps.1.coping", 4, "typed=maybe"},
		{"one for several", head + "checklist: soap", "file.wants_list", "checklist", 2, ""},
		{"several for one", head + "title: [a, b]", "file.wants_one", "title", 2, ""},
		{"text for fields", head + "procedure: help", "file.wants_fields", "procedure", 2, ""},
		{"text for words by language", head + "procedure:\n  say_in: Hola", "file.wants_fields", "procedure.say_in", 3, ""},
		{"no id", head + "prerequisites:\n  - text: a\n    program: shoes", "file.wants_id", "prerequisites.1.program", 4, ""},
		{"a different version", "newel_program: 2\ntitle: Shoes", "file.version", "newel_program", 1, "version=2"},
		{"no version", "title: Shoes", "file.no_version", "newel_program", 1, ""},
		{"an anchor", head + "title: &a Shoes", "file.alias", "title", 2, ""},
		{"an alias", head + "title: &a Shoes\npurpose: *a", "file.alias", "title", 2, ""},
		{"a merge", head + "<<: {title: a}", "file.unknown", "<<", 2, ""},
		{"a duplicate key", head + "strands:\n  - key: a\n    steps:\n      - key: a", "file.key_twice", "strands.1.key", 3, "typed=a"},
		{"a key with a space", head + "strands:\n  - key: a b", "file.key_form", "strands.1.key", 3, ""},
		{"a bracket that is not closed", head + "checklist: [a\ntitle: b", "file.not_yaml", "", 3, ""},
		{"a tab", head + "procedure:\n\tsay: x", "file.not_yaml", "", 3, ""},
		{"no program at all", "- a\n- b", "file.not_a_program", "", 0, ""},
		{"nothing", "", "file.not_a_program", "", 0, ""},
		{"a character that the database rejects", head + `title: "a\0b"`, "field.control_characters", "title", 2, ""},
		{"too much", head + "title: " + strings.Repeat("a", MaxFile), "file.too_large", "", 0, ""},
		{"a list without end", head + "checklist: [" + strings.Repeat("a,", maxItems+1) + "]", "file.too_many", "checklist", 2, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, problems := Parse([]byte(c.file))
			if len(problems) == 0 {
				t.Fatal("no problem")
			}
			p := problems[0]
			if p.Key != c.key || p.Field != c.field || c.line != 0 && p.Line != c.line {
				t.Errorf("%+v, want %s about %s in line %d", p, c.key, c.field, c.line)
			}
			if name, value, told := strings.Cut(c.arg, "="); told && p.Args[name] != value {
				t.Errorf("args %v, want %s", p.Args, c.arg)
			}
		})
	}
}

func TestTwoProgramsInOneFileAreRefused(t *testing.T) {
	t.Parallel()
	if _, problems := Parse([]byte("newel_program: 1\ntitle: a\n---\nnewel_program: 1\ntitle: b\n")); len(problems) == 0 {
		t.Error("the second was silently dropped")
	}
}

func TestNumberOfProblemsIsLimited(t *testing.T) {
	t.Parallel()
	if _, problems := Parse([]byte("newel_program: 1\n" + strings.Repeat("x: 1\n", 500))); len(problems) != maxProblems {
		t.Errorf("%d problems", len(problems))
	}
}

// TestByHand: no keys, and a different style of YAML.
func TestByHand(t *testing.T) {
	t.Parallel()
	d, problems := Parse([]byte(`# a comment
newel_program: 1
title: 'Shoes'
maintenance_weeks: [1, 2]
purpose: >
  To go out
  without hurry.
cautions:
strands:
- steps:
  - {label: S1, name: Heel in, trials: 5, coping: false}
  - {label: S2, name: Strap on}
`))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if d.Title != "Shoes" || d.Purpose != "To go out without hurry.\n" || d.Cautions != "" || len(d.MaintenanceWeeks) != 2 {
		t.Errorf("%+v", d)
	}
	steps := d.Strands[0].Steps
	if len(steps) != 2 || steps[0].Key == steps[1].Key || !program.KnownKey(steps[0].Key) || !program.KnownKey(d.Strands[0].Key) {
		t.Errorf("%+v", steps)
	}
}

// TestBombs: nesting and aliases cannot turn a small file into a lot of work.
func TestBombs(t *testing.T) {
	t.Parallel()
	lines := []string{"newel_program: 1", "a: &a [x, x, x, x, x, x, x, x, x]"}
	for c := 'b'; c <= 'z'; c++ {
		before := string(c - 1)
		lines = append(lines, string(c)+": &"+string(c)+" ["+strings.Repeat("*"+before+", ", 9)+"]")
	}
	for name, file := range map[string]string{
		"aliases": strings.Join(lines, "\n"),
		"lists":   "newel_program: 1\nchecklist: " + strings.Repeat("[", 200_000),
		"maps":    "newel_program: 1\nprocedure: " + strings.Repeat("{a: ", 100_000),
	} {
		if _, problems := Parse([]byte(file)); len(problems) == 0 {
			t.Errorf("%s: no problem", name)
		}
	}
}

// FuzzParse: any bytes produce a document or a problem, and a document survives
// a round trip.
func FuzzParse(f *testing.F) {
	f.Add([]byte("newel_program: 1\ntitle: Shoes\npurpose: |-\n  a\n  b\n"))
	f.Add([]byte("newel_program: 1\nstrands:\n  - steps:\n      - {label: S1, wait_seconds: 0, say_in: {ms: a}}\n"))
	f.Add([]byte("\"\\x80\": [*a"))
	f.Fuzz(func(t *testing.T, file []byte) {
		d, problems := Parse(file)
		if len(problems) == 0 {
			roundTrip(t, d)
		}
	})
}
