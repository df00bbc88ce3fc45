package verification

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write docs/verification.md anew")

const head = `# What the numbers are checked against

This page is written by the tests that make the checks, and they fail when it no longer fits:

    go test ./internal/verification -run Drift -update

Each table is one computation, one source, and a mark that says where the source was seen. In each cell stands first what the source says, then what Newel gives.
A decimal of the source is met when Newel's value rounds to it; a fraction to 1e-12; where the source itself is less precise, the row says so. ` + "`newel compute KIND`" + ` gives the
same numbers for anybody's own data. A comparison with another program, on thousands of random inputs, is in [crosscheck.md](crosscheck.md).

| mark | means | values |
| --- | --- | --- |
`

const tail = `
## What is not here

Newel computes none of these, and so does not check them: Clopper–Pearson intervals; standard deviations of waits; windows that must be full before they are judged; PEM with ties counted as worse;
other denominators of Tau-U; Tau-b against a phase dummy; standard errors of NAP; log ratios with truncated means; standardized mean differences; intercepts by the medians of x and y; the quarter-intersect line
before its shift; weighted κ and the standard errors of κ; mean ranks and points of preference assessments; Gellermann's and Fellows' series; decision rules of other systems; verbal benchmarks.

The counts of orders from which rotations are drawn are checked in internal/sequence, the reading's rules in internal/criterion.
`

var meanings = []struct {
	mark  mark
	means string
}{
	{published, "the value was read in the publication itself"},
	{secondary, "the value was read where somebody else quotes it, or in another program's own tests and pages; the publication was not opened"},
	{library, "a reference library gave it; name and version stand beside it"},
	{computed, "an exact computation made apart from Newel, such as by enumeration or with Python's fractions"},
	{practice, "a habit of the trade that nobody needs to prove"},
	{memory, "recalled and not looked up: not to be called published until somebody opens the source"},
}

// document writes the page.
func document() (string, error) {
	var b, tables strings.Builder
	values := map[mark]int{}
	for _, g := range groups() {
		n, err := g.write(&tables)
		if err != nil {
			return "", err
		}
		values[g.mark] += n
	}
	b.WriteString(head)
	for _, m := range meanings {
		fmt.Fprintf(&b, "| %s | %s | %d |\n", m.mark, m.means, values[m.mark])
	}
	b.WriteString(tables.String())
	b.WriteString(tail)
	return b.String(), nil
}

// write adds a group's table, and returns how many values it holds.
func (g *group) write(b *strings.Builder) (values int, err error) {
	fmt.Fprintf(b, "\n## %s\n\n", g.title)
	if g.about != "" {
		fmt.Fprintf(b, "%s\n\n", g.about)
	}
	by := "`newel compute " + g.kind + "`"
	if g.kind == "inside" {
		by = "inside of other computations"
	}
	fmt.Fprintf(b, "Source: %s. Mark: **%s**. Newel: %s.\n\n", g.source, g.mark, by)
	columns := g.sameColumns()
	if columns == nil {
		b.WriteString("| input | says · gives |\n| --- | --- |\n")
	} else {
		b.WriteString("| input | " + strings.Join(columns, " | ") + " |\n|" + strings.Repeat(" --- |", 1+len(columns)) + "\n")
	}
	for _, r := range g.rows {
		answer, err := g.answer(r)
		if err != nil {
			return values, err
		}
		var cells []string
		for _, c := range r.claims() {
			got, err := at(answer, c.path)
			if err != nil {
				return values, err
			}
			values++
			cell := c.want + " · " + written(got)
			if columns == nil {
				cell = c.path + " " + cell
			}
			cells = append(cells, cell)
		}
		what, parting := r.what, " | "
		if r.within > 0 {
			what += fmt.Sprintf(" (within %g)", r.within)
		}
		if columns == nil {
			parting = "; "
		}
		fmt.Fprintf(b, "| %s | %s |\n", what, strings.Join(cells, parting))
	}
	return values, nil
}

// sameColumns are the paths if all rows have the same; nil otherwise.
func (g *group) sameColumns() []string {
	paths := func(r row) (out []string) {
		for _, c := range r.claims() {
			out = append(out, c.path)
		}
		return out
	}
	first := paths(g.rows[0])
	for _, r := range g.rows[1:] {
		if !slices.Equal(paths(r), first) {
			return nil
		}
	}
	if g.columns != "" {
		return strings.Split(g.columns, "|")
	}
	if len(first) > 12 {
		return nil
	}
	return first
}

// written shows nine digits, which every machine has alike.
func written(v any) string {
	switch v := v.(type) {
	case nil:
		return "none"
	case float64:
		return fmt.Sprintf("%.9g", v)
	}
	return fmt.Sprint(v)
}

func TestDocumentDrift(t *testing.T) {
	t.Parallel()
	got, err := document()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("..", "..", "docs", "verification.md")
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Error("docs/verification.md is not what the checks say: go test ./internal/verification -run Drift -update")
	}
}
