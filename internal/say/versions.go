package say

import (
	"strings"

	"newel/internal/app"
	"newel/internal/message"
	"newel/internal/revision"
)

// StateName says which state of a program is meant.
func StateName(t *message.Printer, name string) string {
	if name == app.DraftName {
		return t.Text("versions.the_draft")
	}
	return t.Text("versions.version_within", "n", name)
}

// ChangeKinds names the kinds of change as the catalogue does.
var ChangeKinds = map[revision.Kind]string{revision.Added: "added", revision.Removed: "removed", revision.Moved: "moved", revision.Changed: "changed"}

// FieldLabel is what a field of a Sheet is called in the editor.
func FieldLabel(t *message.Printer, name string) string {
	of, short := "draftfield.", name
	switch parts := strings.SplitN(name, ".", 3); {
	case len(parts) == 3 && parts[0] == "steps":
		of, short = "stepfield.", parts[2]
	case len(parts) == 3 && parts[0] == "strands":
		of, short = "rolefield.", parts[2]
	}
	if key := of + short; t.Has(key) {
		return t.Text(key)
	}
	return t.Text("compare.other_field")
}
