package revision

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/program"
)

func typed(fields map[string]string) program.Sheet { return program.Sheet{Fields: fields} }

// since types into a document that someone else has changed since then.
func since(t *testing.T, change func(*program.Document), fields map[string]string) Typed {
	t.Helper()
	now := base()
	change(&now)
	out, err := TakeSince(base(), now, typed(fields))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestTakeStoresWhatWasTyped(t *testing.T) {
	t.Parallel()
	name := program.StepField("a2", "name")
	out := Take(base(), typed(map[string]string{name: "Dries hands", "no.such.field": "x"}))
	if _, step := out.Document.Step("a2"); step.Name != "Dries hands" || out.Place != "A2" || out.Conflicts != nil || out.Others != nil {
		t.Errorf("%q at %q, conflicts %v, others %v", step.Name, out.Place, out.Conflicts, out.Others)
	}
	if out := Take(base(), typed(map[string]string{"title": "Washing hands "})); out.Place != "" || !SameSheet(out.Document, base()) {
		t.Errorf("nothing was changed, but %q was", out.Place)
	}
}

func TestDifferentFieldsAreBothKept(t *testing.T) {
	t.Parallel()
	out := since(t, func(d *program.Document) { d.Purpose = "theirs" }, map[string]string{"setting": "mine", "purpose": base().Purpose})
	if d := out.Document; d.Purpose != "theirs" || d.Setting != "mine" || out.Place != "program" {
		t.Errorf("%q, %q at %q", d.Purpose, d.Setting, out.Place)
	}
	if diff := cmp.Diff(out.Others, []string{"purpose"}); diff != "" || out.Conflicts != nil {
		t.Errorf("%s%v", diff, out.Conflicts)
	}
}

func TestAConflictStoresTheirsAndShowsMine(t *testing.T) {
	t.Parallel()
	out := since(t, func(d *program.Document) { d.Purpose = "theirs" }, map[string]string{"purpose": "mine", "setting": "kitchen"})
	if diff := cmp.Diff(out.Conflicts, []FieldConflict{{Name: "purpose", Mine: "mine", Theirs: "theirs"}}); diff != "" {
		t.Error(diff)
	}
	if d := out.Document; d.Purpose != "theirs" || d.Setting != "kitchen" || out.Mine.Fields["purpose"] != "mine" {
		t.Errorf("stored %q, %q; shown %q", d.Purpose, d.Setting, out.Mine.Fields["purpose"])
	}
}

func TestAStepRemovedWhileWrittenInComesBack(t *testing.T) {
	t.Parallel()
	out := since(t, func(d *program.Document) { d.RemoveStep("a2") }, map[string]string{program.StepField("a2", "name"): "Towel"})
	if _, step := out.Document.Step("a2"); step == nil || step.Name != "Towel" || out.Conflicts != nil {
		t.Errorf("the step was lost: %+v, conflicts %v", step, out.Conflicts)
	}
}

func TestTheSameListTypedTwiceIsOneList(t *testing.T) {
	t.Parallel()
	fields := map[string]string{program.StepField("a1", "targets"): "cup\nspoon", "prerequisites": "sits for a minute"}
	stored := Take(base(), typed(fields)).Document
	out, err := TakeSince(base(), stored, typed(fields)) // sent again because the answer was lost
	if err != nil || out.Conflicts != nil || out.Place != "" {
		t.Fatalf("%v, conflicts %v, changed %q", err, out.Conflicts, out.Place)
	}
	for name, want := range fields {
		if got := out.Document.Sheet().Fields[name]; got != want {
			t.Errorf("%s: %q", name, got)
		}
	}
}

func TestFromAnUnknownStateEveryDifferenceIsAConflict(t *testing.T) {
	t.Parallel()
	now := base()
	now.Purpose = "theirs"
	out := TakeUnknown(now, typed(map[string]string{"purpose": "mine", "title": base().Title}))
	if diff := cmp.Diff(out.Conflicts, []FieldConflict{{Name: "purpose", Mine: "mine", Theirs: "theirs"}}); diff != "" {
		t.Error(diff)
	}
	if !SameSheet(out.Document, now) || out.Place != "" {
		t.Errorf("stored %q, changed %q", out.Document.Purpose, out.Place)
	}
}
