package programfile

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"newel/internal/program"
)

// TestEveryFieldIsDescribed: docs/program-file.md is the whole format.
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

// TestTheExampleCanBeRead: what stands on the page can be read, and is written
// as it would be.
func TestTheExampleCanBeRead(t *testing.T) {
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
