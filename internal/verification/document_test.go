package verification

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite docs/verification.md")

const head = `# What the numbers are checked against

The tests that make the checks write this page, and fail when it no longer matches:

    go test ./internal/verification -run Drift -update

Each table is one computation with one source, and a mark that says where we saw the source. A second mark is for its definition, the formula or convention: a value can be
right by a definition that we remember wrongly, and no recomputation would show it. Every value marked "computed independently of Newel" can be computed again with Python alone, unless its table says that it cannot:
` + "`internal/verification/independent.py` and `luck.py` are enumerations and fractions, and `make crosscheck`" + ` runs them. Each cell has the source's value first, then Newel's.
Newel's value agrees with a decimal if it rounds to it, and with a fraction to 1e-12. Where the source itself is less precise, the row says so. ` + "`newel compute KIND`" + ` computes the
same numbers from your own data. [crosscheck.md](crosscheck.md) compares Newel with other programs on thousands of random inputs.

| mark | means | values | definitions of tables |
| --- | --- | --- | --- |
`

const tail = `
## What is not here

Newel does not compute any of these, so there is nothing to check: Clopper–Pearson intervals; standard deviations of waits; windows that must be full before they are evaluated; PEM with ties counted as worse;
other denominators of Tau-U; Tau-b against a phase dummy; standard errors of NAP; log ratios with truncated means; standardized mean differences; intercepts by the medians of x and y; the quarter-intersect line
before its shift; weighted κ and the standard errors of κ; mean ranks and points of preference assessments; Gellermann's and Fellows' series; decision rules of other systems; verbal benchmarks.

The tests of internal/compute/sequence check the counts of orders from which rotations are drawn. Those of internal/criterion check the rules of the reading.
`

var meanings = []struct {
	mark  mark
	means string
}{
	{published, "we read the value in the publication itself"},
	{secondary, "we read the value where someone else quotes it, or in another program's own tests and pages; we did not open the publication"},
	{library, "a reference library computed it; the source has its name and version"},
	{computed, "an exact computation made independently of Newel, such as by enumeration or with Python's fractions"},
	{practice, "a convention of the trade that needs no proof"},
	{memory, "recalled and not looked up: do not call it published until someone opens the source"},
}

// document returns the page.
func document() (string, error) {
	var b, tables strings.Builder
	values, defined := map[mark]int{}, map[mark]int{}
	for _, g := range groups() {
		n, err := g.write(&tables)
		if err != nil {
			return "", err
		}
		values[g.mark] += n
		d, _ := definitionOf(&g)
		defined[d.mark]++
	}
	b.WriteString(head)
	for _, m := range meanings {
		fmt.Fprintf(&b, "| %s | %s | %d | %d |\n", m.mark, m.means, values[m.mark], defined[m.mark])
	}
	b.WriteString(tables.String())
	b.WriteString(tail)
	return b.String(), nil
}

// write adds a group's table and returns the number of values in it.
func (g *group) write(b *strings.Builder) (values int, err error) {
	fmt.Fprintf(b, "\n## %s\n\n", g.title)
	if g.about != "" {
		fmt.Fprintf(b, "%s\n\n", g.about)
	}
	by := "`newel compute " + g.kind + "`"
	if g.kind == "inside" {
		by = "inside other computations"
	}
	d, _ := definitionOf(g)
	again := ""
	switch script := scriptOf(g); {
	case script != "":
		again = " Recomputed by: `internal/verification/" + script + "`."
	case g.mark == computed:
		again = " **No script in the project recomputes it.**"
	}
	fmt.Fprintf(b, "Source: %s. Mark: **%s**. Newel: %s.%s\n\nDefinition, **%s**: %s.\n\n", g.source, g.mark, by, again, d.mark, d.words)
	columns := g.sameColumns()
	if columns == nil {
		b.WriteString("| input | source · Newel |\n| --- | --- |\n")
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

// sameColumns returns the paths if all rows have the same ones; nil otherwise.
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

// written formats nine digits, which are identical on every machine.
func written(v any) string {
	switch v := v.(type) {
	case nil:
		return "none"
	case float64:
		return fmt.Sprintf("%.9g", v)
	}
	return fmt.Sprint(v)
}

// claimsOf returns the rows of all tables as JSON, one a line, for
// independent.py.
func claimsOf(all []group) (string, error) {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	for _, g := range all {
		for _, r := range g.rows {
			says := map[string]string{}
			for _, c := range r.claims() {
				says[c.path] = c.want
			}
			err := e.Encode(struct {
				Title  string            `json:"title"`
				Kind   string            `json:"kind"`
				Script string            `json:"script"`
				What   string            `json:"what"`
				In     string            `json:"in"`
				Says   map[string]string `json:"says"`
				Within float64           `json:"within"`
			}{g.title, g.kind, scriptOf(&g), r.what, r.in, says, r.within})
			if err != nil {
				return "", err
			}
		}
	}
	return b.String(), nil
}

// TestClaimsDrift keeps the file that independent.py reads in step with the
// tables.
func TestClaimsDrift(t *testing.T) {
	t.Parallel()
	got, err := claimsOf(groups())
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("testdata", "claims.jsonl")
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Error("testdata/claims.jsonl differs from the tables: go test ./internal/verification -run Drift -update")
	}
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
		t.Error("docs/verification.md differs from the checks: go test ./internal/verification -run Drift -update")
	}
}
