package programfile_test

import (
	"flag"
	"os"
	"slices"
	"strings"
	"testing"

	"newel/internal/program"
	"newel/internal/programfile"
	"newel/internal/writing"
)

var update = flag.Bool("update", false, "write starter programs as Export writes them")

// explained lists findings that a starter program may have, and why.
var explained = map[string]string{
	"check.jargon_unreviewed":             "somebody who speaks the language reads it",
	"asking-for-a-break program.touch":    touch,
	"washing-hands program.touch":         touch,
	"which-cup program.touch":             touch,
	"asking-for-a-break program.only_all": onlyAll,
	"fine-either-way program.only_all":    onlyAll,
	"memory-pairs program.only_all":       onlyAll,
	"jacket program.only_all":             threeOfThree,
	"washing-hands program.only_all":      threeOfThree,
	"bakery check.small_parts":            "its counter is one to stand at",
	"toothbrush check.water":              "nobody stands in the water of a basin",
	"swimming-bag check.water":            "a bag is packed at home",
}

const (
	touch   = "it is left out where it was not agreed to"
	onlyAll = "all of so few tries is what its text asks for"
	// Of 100%, no window of up to five sessions is sound with so few trials.
	threeOfThree = "a day has no more chances, and every one of them must be correct"
)

func TestStarters(t *testing.T) {
	t.Parallel()
	all, err := programfile.Starters()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 16 {
		t.Errorf("%d starter programs", len(all))
	}
	titles := map[string]bool{}
	for _, s := range all {
		t.Run(s.Name, func(t *testing.T) {
			t.Parallel()
			for _, a := range writing.Review(&s.Document, writing.Context{}) {
				if a.Severity == program.BlocksPublishing || explained[s.Name+" "+a.Key] == "" && explained[a.Key] == "" {
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
			if !strings.HasPrefix(d.Cautions, "Invented example. A qualified supervisor reads and adapts it before anyone uses it with a child.") {
				t.Error("it does not say that it is invented and must be read and adapted first")
			}
			asWritten(t, s)
		})
		if titles[s.Document.Title] {
			t.Errorf("two are called %s", s.Document.Title)
		}
		titles[s.Document.Title] = true
	}
}

// asWritten checks that the file is formatted as Export writes it, so that
// diffs show only real changes.
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
		t.Errorf("%s is not formatted as Export writes it; run this test with -update", name)
	}
}
