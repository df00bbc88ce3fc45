package view

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
)

func inEnglish(t *testing.T) *message.Printer {
	t.Helper()
	all, err := message.Load()
	if err != nil {
		t.Fatal(err)
	}
	return all.Printer("en")
}

// notRead lists document fields that no program page shows, with the reason.
var notRead = map[string]string{
	".Format":                               "describes the file format",
	".Title":                                "the page shows the library's title",
	".SkillArea":                            "the same",
	".Unparsed":                             "only drafts have it, and the editor shows it",
	".Needs[]":                              "a skill, named where skills are known",
	".Teaches[].Skill":                      "the same",
	".Teaches[].Step":                       "a key",
	".Prerequisites[].Key":                  "a key",
	".Prerequisites[].Program.UUID":         "a link, made where programs are known",
	".Difficulties[].Steps[]":               "a key: the step is named",
	".Strands[].Key":                        "a key",
	".Strands[].Opens[].Strand":             "a key",
	".Strands[].Opens[].Step":               "a key: the step is named",
	".Strands[].Steps[].Key":                "a key",
	".Strands[].Steps[].Targets[].Key":      "a key",
	".Strands[].Steps[].Expectations[].Key": "a key",
	".Picture.Type":                         "the picture itself is shown",
	".Picture.Size":                         "the same",
}

func isRead(path string) bool {
	if i := strings.LastIndex(path, ".Picture."); i >= 0 && notRead[path[i:]] != "" {
		return false
	}
	return notRead[path] == ""
}

// leaf is one value of a document that a person can write.
type leaf struct {
	path string
	v    reflect.Value
}

// leaves puts one element into every list and pointer, and returns all values
// that can be written.
func leaves(path string, v reflect.Value) []leaf {
	switch v.Kind() {
	case reflect.Struct:
		var out []leaf
		for i := range v.NumField() {
			out = append(out, leaves(path+"."+v.Type().Field(i).Name, v.Field(i))...)
		}
		return out
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		return leaves(path+"[]", v.Index(0))
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		return leaves(path, v.Elem())
	}
	return []leaf{{path, v}}
}

// write puts a unique value into the leaf, and returns how it is shown.
func (l leaf) write(t *testing.T, n int) string {
	t.Helper()
	switch l.v.Kind() {
	case reflect.String:
		text := fmt.Sprintf("word%03d", n)
		l.v.SetString(text)
		return text
	case reflect.Int:
		l.v.SetInt(int64(200 + n))
		return fmt.Sprint(200 + n)
	case reflect.Float64:
		l.v.SetFloat(float64(n) + 200.5)
		return fmt.Sprintf("%d.5", n+200)
	case reflect.Bool:
		l.v.SetBool(true)
		return ""
	case reflect.Map:
		text := fmt.Sprintf("word%03d", n)
		l.v.Set(reflect.ValueOf(program.Wordings{"ms": text}).Convert(l.v.Type()))
		return text
	}
	t.Fatalf("%s: no rule for how a %s is shown", l.path, l.v.Type())
	return ""
}

func programText(t *testing.T, d *program.Document) string {
	t.Helper()
	d.Strands[0].Key, d.Strands[0].Steps[0].Key = "run", "first"
	d.Strands[0].Opens[0] = program.Opening{Strand: "run", Step: "first"}
	d.Difficulties[0].Steps[0] = "first"
	return render(t, Program(ProgramPage{T: inEnglish(t), Title: "A title", Document: d, Number: 1, Here: "/programs/x"})).String()
}

// The program page shows everything that can be written into a program.
func TestProgramPageShowsEverything(t *testing.T) {
	t.Parallel()
	var d program.Document
	reads := map[string]string{}
	var ticks []leaf
	for i, l := range leaves("", reflect.ValueOf(&d).Elem()) {
		if !isRead(l.path) {
			continue
		}
		if text := l.write(t, i); text != "" {
			reads[l.path] = text
		} else {
			ticks = append(ticks, l)
		}
	}
	page := programText(t, &d)
	for path, text := range reads {
		if !strings.Contains(page, text) {
			t.Errorf("%s is not on the page", path)
		}
	}
	for _, l := range ticks {
		l.v.SetBool(false)
		if programText(t, &d) == page {
			t.Errorf("%s makes no difference to the page", l.path)
		}
		l.v.SetBool(true)
	}
	title := d.StepTitle("first")
	for _, said := range []string{"opens after " + title, "for " + title} {
		if !strings.Contains(page, said) {
			t.Errorf("%q is not on the page", said)
		}
	}
}

// A step without its own values shows those of the program.
func TestStepInheritsProgramTexts(t *testing.T) {
	t.Parallel()
	d := program.Document{
		HelpLevels: []program.HelpLevel{{Name: "point"}},
		Procedure:  program.Procedure{Say: "Wash hands", SayIn: program.Wordings{"ms": "Basuh tangan"}, WaitSeconds: 5},
	}
	text := fmt.Sprint(programReader{t: inEnglish(t), d: &d}.Step(program.Step{Key: "a", Trials: 5, Criterion: "80% in 2 sessions in a row"}))
	for _, want := range []string{"Wash hands", "as in the program", "Basuh tangan", "Malay", "5 seconds", "none: independent from the start", "80% independent in 2 sessions in a row", "Of 5 trials, 4"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing in %s", want, text)
		}
	}
	if own := fmt.Sprint(programReader{t: inEnglish(t), d: &d}.Step(program.Step{Key: "a", Say: "Tangan", WaitSeconds: new(float64)})); strings.Contains(own, "Basuh") || !strings.Contains(own, "0 seconds") {
		t.Errorf("own words and no wait: %s", own)
	}
}

// A learner's own values replace the program's and are marked.
func TestLearnerOverridesAreMarked(t *testing.T) {
	t.Parallel()
	say, rule, tries := "Kavi, hands", "90% independent in 2 sessions in a row", 8
	d := program.Document{Strands: []program.Strand{{Steps: []program.Step{{Key: "a", Label: "A1", Say: "Hands", Criterion: "80% in 3 sessions in a row", Trials: 5}}}}}
	r := programReader{t: inEnglish(t), d: &d, own: map[string]newel.StepOverride{"a": {Say: &say, Criterion: &rule, Trials: &tries}}}
	marked := map[string]string{}
	for _, g := range r.Step(d.Strands[0].Steps[0]) {
		for _, item := range g.Items {
			if item.Own != "" {
				marked[item.Label] = item.Lines[0].Text
			}
		}
	}
	if marked["Instruction"] != say || marked["Criterion"] != rule || marked["Planned trials"] != "8" || len(marked) != 3 {
		t.Errorf("marked: %v", marked)
	}
	if text := fmt.Sprint(r.Step(d.Strands[0].Steps[0])); !strings.Contains(text, "80% independent in 3 sessions in a row") {
		t.Errorf("the replaced value is not shown: %s", text)
	}
}

// Each form of criterion in family words.
func TestPlainCriterion(t *testing.T) {
	t.Parallel()
	d := program.Document{HelpLevels: []program.HelpLevel{{Name: "point"}}}
	for _, c := range []struct{ text, want string }{
		{"80% independent in 3 sessions in a row", "at least 4 of 5 tries without help, in 3 sessions in a row"},
		{"80% with help up to point in 1 session", "at least 4 of 5 tries right, with no more help than “point”, in one session"},
		{"first trial correct in 4 of the last 5 sessions", "the first try of the day is right, in 4 of the last 5 sessions"},
		{"80% independent in 2 sessions in a row, across 2 people, and steady again within 60 seconds", "and also steady again within 60 seconds, in 2 sessions in a row, with 2 people"},
		{"at least 2 minutes in total in 3 sessions in a row", "at least 2 minutes in total, in 3 sessions in a row"},
		{"80% now and then", "80% now and then"},
	} {
		said := PlainCriterion(inEnglish(t), &d, program.Step{Criterion: c.text, Trials: 5, Coping: true, Targets: []program.Target{{Key: "a"}}})
		if !strings.Contains(said, c.want) || strings.Contains(said, "{") || strings.Contains(said, "plainly.") {
			t.Errorf("%s: %s", c.text, said)
		}
	}
	if text := fmt.Sprint(programReader{t: inEnglish(t), d: &d}.learned(program.Step{Coping: true, Criterion: "80% in 2 sessions in a row, and steady again within 60 seconds"})); !strings.Contains(text, "60 seconds") {
		t.Errorf("seconds to recover: %s", text)
	}
}
