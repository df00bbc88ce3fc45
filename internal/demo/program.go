package demo

import (
	"embed"
	"fmt"
	"maps"
	"path"
	"strings"

	"newel/internal/newel"
)

// The programs stand in files as somebody would type them into the editor:
//
//	name: text, and further lines of it indented
//	== key    begins a strand
//	-- key    begins a step
//
// Names are those of the fields of a newel.Sheet. A step takes over from the
// one before it in its strand what usually stays the same, as in the editor.
//
//go:embed programs/*.txt
var programFiles embed.FS

// draftMark ends the name of a file whose program is not signed off.
const draftMark = ".draft"

// files lists the programs by file name.
func files() []string {
	entries, _ := programFiles.ReadDir("programs")
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = strings.TrimSuffix(e.Name(), path.Ext(e.Name()))
	}
	return names
}

// everywhere is what every program of the clinic says unless it says
// otherwise.
var everywhere = map[string]string{
	"language":  "en",
	"stop_rule": "When a stop sign is given, stop at once. Nothing is lost by stopping.",
	"checklist": strings.Join([]string{
		"Things ready", "Child willing", "Cue once", "Waited as planned", "Planned help only", "Reacted as planned", "Wrote it down",
	}, "\n"),
	"maintenance_weeks": "1, 2, 4, 8",
}

// carried are the fields that a step takes over from the one before.
var carried = []string{"measure", "trials", "minutes", "criterion", "phase"}

// sheet reads one of the programs.
func sheet(file string) (newel.Sheet, error) {
	body, err := programFiles.ReadFile("programs/" + file + ".txt")
	if err != nil {
		return newel.Sheet{}, fmt.Errorf("program: %w", err)
	}
	r := sheetReader{sheet: newel.Sheet{Fields: maps.Clone(everywhere)}, field: func(name string) string { return name }}
	for n, line := range strings.Split(string(body), "\n") {
		if err := r.line(line); err != nil {
			return newel.Sheet{}, fmt.Errorf("%s, line %d: %w", file, n+1, err)
		}
	}
	return r.sheet, nil
}

type sheetReader struct {
	sheet newel.Sheet
	field func(name string) string // the field meant by a name here
	last  string                   // field begun last
}

func (r *sheetReader) line(line string) error {
	if more, ok := strings.CutPrefix(line, "  "); ok {
		if r.sheet.Fields[r.last] != "" {
			more = "\n" + more
		}
		r.sheet.Fields[r.last] += more
		return nil
	}
	if key, ok := strings.CutPrefix(line, "== "); ok {
		r.sheet.Strands = append(r.sheet.Strands, newel.SheetStrand{Key: key})
		r.field = func(name string) string { return newel.StrandField(key, name) }
		return nil
	}
	if key, ok := strings.CutPrefix(line, "-- "); ok && len(r.sheet.Strands) > 0 {
		r.step(key)
		return nil
	}
	if strings.TrimSpace(line) == "" {
		return nil
	}
	name, text, ok := strings.Cut(line, ":")
	if !ok {
		return fmt.Errorf("%q is no field", line)
	}
	r.last = r.field(name)
	r.sheet.Fields[r.last] = strings.TrimSpace(text)
	return nil
}

func (r *sheetReader) step(key string) {
	strand := &r.sheet.Strands[len(r.sheet.Strands)-1]
	for _, name := range carried {
		if n := len(strand.Steps); n > 0 {
			r.sheet.Fields[newel.StepField(key, name)] = r.sheet.Fields[newel.StepField(strand.Steps[n-1], name)]
		}
	}
	strand.Steps = append(strand.Steps, key)
	r.field = func(name string) string { return newel.StepField(key, name) }
}
