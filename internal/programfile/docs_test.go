package programfile

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"newel/internal/program"
)

// TestEveryFieldIsDescribed checks that docs/program-file.md covers the whole
// format.
func TestEveryFieldIsDescribed(t *testing.T) {
	t.Parallel()
	page, err := os.ReadFile("../../docs/program-file.md")
	if err != nil {
		t.Fatal(err)
	}
	var walk func(reflect.Type)
	walk = func(v reflect.Type) {
		switch {
		case v.Kind() == reflect.Pointer, v.Kind() == reflect.Slice:
			walk(v.Elem())
		case v.Kind() == reflect.Struct && !asText(v):
			for _, m := range members(v) {
				if !strings.Contains(string(page), "`"+m.name+"`") {
					t.Errorf("%s of %s is not described", m.name, v)
				}
				walk(v.Field(m.index).Type)
			}
		}
	}
	walk(reflect.TypeFor[program.Document]())
}

// TestTheExampleIsValid checks that the example on the page is valid and
// formatted as Export would format it.
func TestTheExampleIsValid(t *testing.T) {
	t.Parallel()
	page, err := os.ReadFile("../../docs/program-file.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(page), "```yaml\n")
	example, _, found := strings.Cut(rest, "```")
	if !found {
		t.Fatal("there is no example")
	}
	d, problems := Parse([]byte(example))
	if len(problems) > 0 || string(Export(d)) != example {
		t.Errorf("%v\n%s", problems, Export(d))
	}
	if err := d.Publishable(); err != nil {
		t.Error(err)
	}
}
