package archtest

import (
	"go/token"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// TestPlantedViolationsAreFound proves that each rule can fail, on a small
// module with one violation each.
func TestPlantedViolationsAreFound(t *testing.T) {
	t.Parallel()
	clean := map[string]string{
		"internal/sum/sum.go":   "// Package sum adds.\npackage sum\n\nimport \"time\"\n\nvar Epoch = time.Unix(0, 0)\n",
		"internal/page/page.go": "// Package page shows sums.\npackage page\n\nimport (\n\t_ \"example.org/draw/v2\"\n\n\t_ \"newel/internal/sum\"\n)\n",
		"cmd/run/main.go":       "// Command run runs.\npackage main\n\nimport _ \"newel/internal/page\"\n",
	}
	drawn := plan{
		{name: "internal/sum", pure: true},
		{name: "internal/page", may: []string{"internal/sum"}, outside: []string{"example.org/draw/v2"}},
		{name: "cmd/run", may: []string{anything}},
	}
	with := func(path, body string) map[string]string {
		files := map[string]string{path: body}
		for name, text := range clean {
			if _, replaced := files[name]; !replaced {
				files[name] = text
			}
		}
		return files
	}
	sum := func(body string) map[string]string {
		return with("internal/sum/more.go", "package sum\n\n"+body)
	}
	for _, c := range []struct {
		name  string
		files map[string]string
		plan  plan
		want  string // part of the only violation; empty for none
	}{
		{name: "a clean house", files: clean},
		{name: "an upward import", files: sum("import _ \"newel/internal/page\"\n"), want: "internal/sum imports internal/page"},
		{name: "a package that is not in the plan", files: with("internal/new/new.go", "package new\n"), want: "internal/new is in no room"},
		{name: "a room without code", files: clean, plan: append(plan{{name: "internal/gone"}}, drawn...), want: "internal/gone is in the plan but has no Go files"},
		{name: "a third-party package that is not allowed", files: sum("import _ \"example.org/draw/v2\"\n"), want: "internal/sum imports example.org/draw/v2"},
		{
			name: "a third-party package allowed only by its parent path", want: "internal/page imports example.org/draw/v2/ink",
			files: with("internal/page/ink.go", "package page\n\nimport _ \"example.org/draw/v2/ink\"\n"),
		},
		{name: "a third-party package in a command", files: with("cmd/run/more.go", "package main\n\nimport _ \"example.org/draw/v2\"\n"), want: "cmd/run imports example.org/draw/v2"},
		{name: "a third-party package in a test", files: with("internal/sum/sum_test.go", "package sum\n\nimport _ \"example.org/draw/v2\"\n"), want: "internal/sum/sum_test.go imports example.org/draw/v2"},
		{name: "the clock", files: sum("import \"time\"\n\nvar now = time.Now()\n"), want: "uses time.Now"},
		{name: "the clock under another name", files: sum("import clock \"time\"\n\nvar now = clock.Now()\n"), want: "uses time.Now"},
		{name: "the clock as a value", files: sum("import \"time\"\n\nvar now = time.Now\n"), want: "uses time.Now"},
		{name: "the clock with a dot", files: sum("import . \"time\"\n\nvar now = Now()\n"), want: "imports time with a dot"},
		{name: "a timer", files: sum("import \"time\"\n\nvar tick = time.NewTicker(1)\n"), want: "uses time.NewTicker"},
		{name: "the environment", files: sum("import env \"os\"\n\nvar home = env.Getenv(\"HOME\")\n"), want: "internal/sum is pure and imports os"},
		{name: "randomness", files: sum("import _ \"math/rand/v2\"\n"), want: "internal/sum is pure and imports math/rand/v2"},
		{name: "secret randomness", files: sum("import _ \"crypto/rand\"\n"), want: "internal/sum is pure and imports crypto/rand"},
		{name: "the network", files: sum("import _ \"net/http\"\n"), want: "internal/sum is pure and imports net/http"},
		{name: "a log", files: sum("import \"fmt\"\n\nfunc Say() { fmt.Println() }\n"), want: "uses fmt.Println"},
		{
			name: "an exception", files: sum("import \"time\"\n\nvar now = time.Now()\n"),
			plan: plan{{name: "internal/sum", pure: true, except: map[string]string{"time.Now": "it is a clock"}}, drawn[1], drawn[2]},
		},
		{
			name: "an exception that nothing needs", files: clean, want: "internal/sum may use time.Now but does not",
			plan: plan{{name: "internal/sum", pure: true, except: map[string]string{"time.Now": "it is a clock"}}, drawn[1], drawn[2]},
		},
		{
			name: "an allowed import that nothing needs", files: clean, want: "internal/sum may import internal/page but does not",
			plan: plan{{name: "internal/sum", pure: true, may: []string{"internal/page"}}, drawn[1], drawn[2]},
		},
		{
			name: "an allowed module that nothing needs", files: clean, want: "internal/sum may import example.org/draw/v2 but does not",
			plan: plan{{name: "internal/sum", pure: true, outside: []string{"example.org/draw/v2"}}, drawn[1], drawn[2]},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := c.plan
			if p == nil {
				p = drawn
			}
			fset := token.NewFileSet()
			house, err := readHouse(fakeModule(c.files), fset)
			if err != nil {
				t.Fatal(err)
			}
			wrong := p.check(house, fset)
			if c.want == "" {
				if len(wrong) > 0 {
					t.Errorf("got %q, want no violation", wrong)
				}
				return
			}
			if len(wrong) != 1 || !strings.Contains(wrong[0], c.want) {
				t.Errorf("got %q, want one violation with %q", wrong, c.want)
			}
		})
	}
}

func TestMissingPackageCommentIsFound(t *testing.T) {
	t.Parallel()
	house, err := readHouse(fakeModule(map[string]string{
		"internal/told/told.go":     "// Package told says what it is.\npackage told\n",
		"internal/told/more.go":     "package told\n",
		"internal/silent/silent.go": "package silent\n",
	}), token.NewFileSet())
	if err != nil {
		t.Fatal(err)
	}
	if got := withoutComment(house); !slices.Equal(got, []string{"internal/silent"}) {
		t.Errorf("got %q, want internal/silent alone", got)
	}
}

func fakeModule(files map[string]string) fstest.MapFS {
	m := fstest.MapFS{}
	for name, body := range files {
		m[name] = &fstest.MapFile{Data: []byte(body)}
	}
	return m
}
