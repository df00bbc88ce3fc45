package programfile_test

import (
	"flag"
	"os"
	"slices"
	"strings"
	"testing"

	"newel/internal/newel"
	"newel/internal/programfile"
	"newel/internal/writing"
)

var update = flag.Bool("update", false, "write starter programs as Export writes them")

// explained are the findings that a starter program may have, and why.
var explained = map[string]string{}

func TestStarters(t *testing.T) {
	t.Parallel()
	all, err := programfile.Starters()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 6 {
		t.Errorf("%d starter programs", len(all))
	}
	titles := map[string]bool{}
	for _, s := range all {
		t.Run(s.Name, func(t *testing.T) {
			t.Parallel()
			for _, a := range writing.Review(&s.Document, writing.Around{}) {
				if a.Severity == newel.StopsPublishing || explained[s.Name+" "+a.Key] == "" {
					t.Errorf("%s: %s %v", a.Field, a.Key, a.Args)
				}
			}
			d := s.Document
			for name, text := range map[string]string{
				"purpose": d.Purpose, "for whom": d.ForWhom, "setting": d.Setting, "stop rule": d.StopRule, "generalize": d.Generalize,
				"reinforcing": d.Reinforcing, "thinning": d.Thinning, "maintenance": d.Maintenance, "if not yet": d.Procedure.IfNotYet,
				"if says no": d.Procedure.IfSaysNo, "say": d.Procedure.Say,
			} {
				if text == "" {
					t.Errorf("%s is missing", name)
				}
			}
			if !strings.Contains(d.Cautions, "A qualified supervisor reads and adapts it before anyone uses it with a child.") {
				t.Error("it does not say that it has to be read and adapted first")
			}
			if d.HasTouch() {
				t.Error("a starter has help by touch")
			}
			asWritten(t, s)
		})
		if titles[s.Document.Title] {
			t.Errorf("two are called %s", s.Document.Title)
		}
		titles[s.Document.Title] = true
	}
}

// asWritten: the file is as Export writes it, so that a change by hand shows
// as a change of its own only.
func asWritten(t *testing.T, s programfile.Starter) {
	t.Helper()
	name := "starter/" + s.Name + ".yaml"
	file, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	want := programfile.Export(s.Document)
	if *update {
		if err := os.WriteFile(name, want, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if !slices.Equal(file, want) {
		t.Errorf("%s is written otherwise; run this test with -update", name)
	}
}
