package main

import (
	"encoding/json"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/evanw/esbuild/pkg/api"
)

// rooms lists the script folders that a page's entry point may reach. Staff
// pages must not load what only phones need, and shared scripts must not depend
// on either.
var rooms = map[string][]string{
	"ts/shared/theme.ts":    {"shared"},
	"ts/staff/staff.ts":     {"staff", "shared"},
	"ts/phone/caregiver.ts": {"phone", "shared"},
	"ts/phone/phone.ts":     {"phone", "shared"},
	"ts/phone/joining.ts":   {"phone", "shared"},
	"ts/phone/preview.ts":   {"phone", "shared"},
}

// reached returns the scripts below src/ts that esbuild reaches from one file.
func reached(t *testing.T, root, source string) []string {
	t.Helper()
	result := api.Build(api.BuildOptions{
		EntryPoints:   []string{filepath.Join(root, "src", filepath.FromSlash(source))},
		AbsWorkingDir: root,
		Bundle:        true,
		External:      []string{"htmx.org", "idb"},
		Outdir:        t.TempDir(),
		Metafile:      true,
		Format:        api.FormatESModule,
		LogLevel:      api.LogLevelSilent,
	})
	if len(result.Errors) > 0 {
		t.Fatal(result.Errors)
	}
	var meta struct {
		Inputs map[string]any `json:"inputs"`
	}
	if err := json.Unmarshal([]byte(result.Metafile), &meta); err != nil {
		t.Fatal(err)
	}
	var files []string
	for name := range meta.Inputs {
		if file, ours := strings.CutPrefix(filepath.ToSlash(name), "src/ts/"); ours {
			files = append(files, file)
		}
	}
	slices.Sort(files)
	return files
}

func TestScriptsStayInTheirFolders(t *testing.T) {
	t.Parallel()
	root, err := filepath.Abs(filepath.Join("..", "..", "web"))
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	for _, e := range append(slices.Clone(entries), entry{phoneEntry, api.FormatESModule}) {
		if !strings.HasPrefix(e.source, "ts/") {
			continue
		}
		allowed, known := rooms[e.source]
		if !known {
			t.Errorf("%s is an entry point without a folder: add it to this test", e.source)
		}
		for _, file := range reached(t, root, e.source) {
			found[file] = true
			if room, _, _ := strings.Cut(file, "/"); !slices.Contains(allowed, room) {
				t.Errorf("%s reaches %s, which is outside of %v", e.source, file, allowed)
			}
		}
	}
	shared, err := filepath.Glob(filepath.Join(root, "src", "ts", "shared", "*.ts"))
	if err != nil || len(shared) == 0 {
		t.Fatalf("found no shared scripts: %v", err)
	}
	for _, path := range shared {
		file := "shared/" + filepath.Base(path)
		if !found[file] {
			t.Errorf("no page reaches %s", file)
		}
		for _, other := range reached(t, root, "ts/"+file) {
			if !strings.HasPrefix(other, "shared/") {
				t.Errorf("%s reaches %s: shared scripts must depend on neither side", file, other)
			}
		}
	}
}
