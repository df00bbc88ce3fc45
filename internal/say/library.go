package say

import (
	"newel/internal/message"
	"newel/internal/programfile"
)

// FileProblem says where something in a file is, and what is wrong with it.
func FileProblem(t *message.Printer, p programfile.Problem) string {
	text := t.Problem(p.Problem)
	if p.Field != "" {
		text = p.Field + ": " + text
	}
	if p.Line > 0 {
		text = t.Text("library.at_line", "line", p.Line, "column", p.Column) + " " + text
	}
	return text
}
