package revision

import (
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/program"
)

func compared(t *testing.T, a, b program.Document) Comparison {
	t.Helper()
	c, err := Compare(a, b)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCompare(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		change func(*program.Document)
		want   Comparison
		line   bool // a phase line for step a1
	}{
		{"nothing", func(*program.Document) {}, Comparison{}, false},
		{"the title", func(d *program.Document) { d.Title = "Hands" }, Comparison{Fields: []Field{{"title", "Washing hands", "Hands"}}}, false},
		{"the instruction, everywhere", func(d *program.Document) { d.Procedure.Say = "Go" }, Comparison{
			Fields: []Field{{"say", "Wash hands", "Go"}}, Procedure: true,
		}, true},
		{"a name", func(d *program.Document) { d.Strands[0].Steps[0].Name = "Towel" }, Comparison{Steps: []Step{{
			Kind: Changed, Key: "a1", Strand: "a", Title: "Washer A1", Fields: []Field{{"steps.a1.name", "Hangs up the towel", "Towel"}},
		}}}, false},
		{"only the spelling of a criterion", func(d *program.Document) { d.Strands[0].Steps[0].Criterion = "3x80%" }, Comparison{Steps: []Step{{
			Kind: Changed, Key: "a1", Strand: "a", Title: "Washer A1",
			Fields: []Field{{"steps.a1.criterion", "80% independent in 3 sessions in a row", "3x80%"}},
		}}}, false},
		{"a criterion", func(d *program.Document) { d.Strands[0].Steps[0].Criterion = "3x90%" }, Comparison{Steps: []Step{{
			Kind: Changed, Key: "a1", Strand: "a", Title: "Washer A1", Criterion: true,
			Fields: []Field{{"steps.a1.criterion", "80% independent in 3 sessions in a row", "3x90%"}},
		}}}, true},
		{"targets", func(d *program.Document) { d.Strands[0].Steps[0].Targets[0].Name = "cloth" }, Comparison{Steps: []Step{{
			Kind: Changed, Key: "a1", Strand: "a", Title: "Washer A1", Procedure: true, Fields: []Field{{"steps.a1.targets", "towel", "cloth"}},
		}}}, true},
		{"what no form shows", func(d *program.Document) { d.Strands[0].Steps[0].Order.Rule = "massed" }, Comparison{Steps: []Step{{
			Kind: Changed, Key: "a1", Strand: "a", Title: "Washer A1", Procedure: true, Fields: []Field{{"steps.a1.order_rule", "", "massed"}},
		}}}, true},
		{"one more", func(d *program.Document) {
			d.InsertSteps("a", "a1", program.Step{Key: "n", Label: "A1b"})
		}, Comparison{Steps: []Step{{Kind: Added, Key: "n", Strand: "a", Title: "Washer A1b"}}}, false},
		{"one less", func(d *program.Document) { d.RemoveStep("a2") }, Comparison{Steps: []Step{{
			Kind: Removed, Key: "a2", Strand: "a", Title: "Washer A2",
		}}}, false},
		{"the last first", func(d *program.Document) { d.MoveStep("a3", -2) }, Comparison{Steps: []Step{{
			Kind: Moved, Key: "a3", Strand: "a", Title: "Washer A3",
		}}}, false},
		{"to the other role", func(d *program.Document) { d.PlaceStep("a3", "b", "b2") }, Comparison{Steps: []Step{{
			Kind: Moved, Key: "a3", Strand: "b", Title: "Helper A3",
		}}}, false},
		{"a role", func(d *program.Document) { d.Strands[0].Role.Actions = "washes" }, Comparison{
			Fields: []Field{{"strands.a.actions", "", "washes"}},
		}, false},
	} {
		after := base()
		c.change(&after)
		got := compared(t, base(), after)
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
		if got.PhaseLine("a1") != c.line {
			t.Errorf("%s: phase line %v", c.name, got.PhaseLine("a1"))
		}
	}
}

// TestEveryFieldOfAStepIsCompared sets each field of a step in turn.
func TestEveryFieldOfAStepIsCompared(t *testing.T) {
	t.Parallel()
	for i := range reflect.TypeFor[program.Step]().NumField() {
		name := reflect.TypeFor[program.Step]().Field(i).Name
		if name == "Key" {
			continue
		}
		after := base()
		set(reflect.ValueOf(&after.Strands[0].Steps[0]).Elem().Field(i))
		got := compared(t, base(), after)
		if len(got.Steps) != 1 || len(got.Steps[0].Fields) == 0 {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// set assigns a value that differs from the base.
func set(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString("other")
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int:
		v.SetInt(77)
	case reflect.Float64:
		v.SetFloat(7.5)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		set(v.Elem())
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		set(v.Index(0))
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		v.SetMapIndex(reflect.ValueOf("es"), reflect.ValueOf("otro"))
	case reflect.Struct:
		set(v.Field(0))
	}
}

func TestWords(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		before, after string
		want          []Piece
	}{
		{"", "", nil},
		{"same", "same", []Piece{{Stayed, "same"}}},
		{"wait five seconds", "wait ten seconds", []Piece{{Stayed, "wait "}, {Went, "five"}, {Came, "ten"}, {Stayed, " seconds"}}},
		{"", "new", []Piece{{Came, "new"}}},
		{"old", "", []Piece{{Went, "old"}}},
		{"Say it. Wait.", "Say it once. Wait.", []Piece{{Stayed, "Say it"}, {Came, " once"}, {Stayed, ". Wait."}}},
	} {
		if diff := cmp.Diff(c.want, Words(c.before, c.after)); diff != "" {
			t.Errorf("%q to %q: %s", c.before, c.after, diff)
		}
	}
}

// TestWordsLoseNothing: joined, the pieces are both texts.
func TestWordsLoseNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.StringMatching(`([ab] ?\n?){0,9}`), rapid.Just("\xff\xfea"))
		before, after := text.Draw(t, "before"), text.Draw(t, "after")
		var was, is strings.Builder
		for _, p := range Words(before, after) {
			if p.Kind != Came {
				was.WriteString(p.Text)
			}
			if p.Kind != Went {
				is.WriteString(p.Text)
			}
		}
		if was.String() != before || is.String() != after {
			t.Errorf("%q and %q", was.String(), is.String())
		}
	})
}

func TestWordsOfVeryLongTexts(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("a ", 3000)
	if got := Words("x"+long, "y"+long); len(got) != 2 {
		t.Errorf("%d pieces", len(got))
	}
}
