package criterion

import (
	"flag"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
)

var simulate = flag.Bool("simulate", false, "run the whole simulation and write its tables into docs/simulation.md")

const (
	simulationPage = "../../docs/simulation.md"
	// fullLearners is how many learners of each kind the published tables have:
	// standard errors of at most 1.3 points.
	fullLearners = 1500
)

// simulatedTables lists the tables of docs/simulation.md. Each function runs
// its learners and returns rows of cells, the heading first.
var simulatedTables = []struct {
	name  string
	table func(s *simulation) [][]string
}{
	{"rising learners", risingTable},
	{"level and falling learners", levelTable},
	{"other conditions", conditionsTable},
	{"close", closeTable},
	{"caseload", caseloadTable},
	{"people", peopleTable},
	{"luck", luckTable},
	{"evidence", evidenceTable},
	{"one session", oneSessionTable},
	{"guessing", guessingTable},
	{"one side", oneSideTable},
	{"slower", slowerTable},
	{"help bound", helpBoundTable},
	{"help stuck", helpStuckTable},
	{"planned help", plannedHelpTable},
	{"probes only", probesTable},
	{"each target", eachTargetTable},
	{"other measures", measuresTable},
	{"step back", stepBackTable},
}

// TestSimulatedTables checks that the published tables still come from the
// present rules: it runs the first learners of every kind again and compares
// what the rules say about them with the fingerprint beside the table. With
// -simulate it runs them all and writes the tables.
func TestSimulatedTables(t *testing.T) {
	for _, table := range simulatedTables {
		t.Run(strings.ReplaceAll(table.name, " ", "-"), func(t *testing.T) {
			if *simulate {
				s := &simulation{t: t, learners: fullLearners}
				writeTable(t, table.name, table.table(s), s.print)
				return
			}
			t.Parallel()
			s := &simulation{t: t, learners: fingerprinted}
			table.table(s)
			if got, want := fmt.Sprintf("%x", s.print), publishedPrint(t, table.name); got != want {
				t.Errorf("the table %q is out of date (its learners' fingerprint is %s, not %s): run make simulate", table.name, got, want)
			}
		})
	}
}

// tableIn finds a table between its markers; the fingerprint is group 1.
func tableIn(name string) *regexp.Regexp {
	name = regexp.QuoteMeta(name)
	return regexp.MustCompile(`(?s)<!-- table: ` + name + `; fingerprint ([0-9a-f]*) -->\n.*?<!-- end of table: ` + name + ` -->\n`)
}

func readPage(t *testing.T) string {
	t.Helper()
	page, err := os.ReadFile(simulationPage)
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

func publishedPrint(t *testing.T, name string) string {
	t.Helper()
	found := tableIn(name).FindStringSubmatch(readPage(t))
	if found == nil {
		t.Fatalf("docs/simulation.md has no table %q", name)
	}
	return found[1]
}

func writeTable(t *testing.T, name string, rows [][]string, print uint64) {
	t.Helper()
	page, place := readPage(t), tableIn(name)
	if !place.MatchString(page) {
		t.Fatalf("docs/simulation.md has no table %q", name)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "<!-- table: %s; fingerprint %x -->\n", name, print)
	for i, row := range rows {
		fmt.Fprintf(&b, "| %s |\n", strings.Join(row, " | "))
		if i == 0 {
			b.WriteString("|" + strings.Repeat(" --- |", len(row)) + "\n")
		}
	}
	fmt.Fprintf(&b, "<!-- end of table: %s -->\n", name)
	page = place.ReplaceAllLiteralString(page, b.String())
	if err := os.WriteFile(simulationPage, []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
}

// whole formats a percentage.
func whole(percent float64) string { return fmt.Sprintf("%.0f", percent) }

// tenth formats a small percentage.
func tenth(percent float64) string { return fmt.Sprintf("%.1f", percent) }

// list formats percentages as "4/84/94".
func list(percents ...float64) string {
	out := make([]string, len(percents))
	for i, p := range percents {
		out[i] = whole(p)
	}
	return strings.Join(out, "/")
}

// each lists one figure for several numbers of sessions.
func each(figure func(session int, seen sign) float64, seen sign, sessions ...int) string {
	out := make([]float64, len(sessions))
	for i, n := range sessions {
		out[i] = figure(n, seen)
	}
	return list(out...)
}
