package verification

import (
	"strings"
	"testing"
)

// definition says where the formula or convention of a table was seen, which the
// mark of its values does not: a value can be computed twice from a definition
// that was remembered wrongly.
type definition struct {
	mark  mark
	words string
}

// definitions are by kind and by the beginning of a table's title. The first
// that fits counts.
var definitions = []struct {
	kind, title string
	is          definition
}{
	{"inside", "Wilson", definition{memory, "Wilson’s score interval without continuity correction; a reference library gives the same limits"}},
	{"inside", "Binomial tails", definition{memory, "the binomial distribution; a reference library gives the same tails"}},
	{"inside", "Sequences of n tosses", definition{published, "the words of OEIS A050227"}},
	{"inside", "The same, n = 12", definition{published, "the words of OEIS A050227"}},
	{"inside", "Mean wait for a run", definition{memory, "Feller vol. 1, XIII.7, not opened; the recomputation solves the chain instead of using the formula"}},
	{"inside", "Exact one-sided", definition{secondary, "Kendall’s S over all orders of distinct values, as reference libraries define it"}},
	{"inside", "Critical S", definition{secondary, "a page on Mann–Kendall"}},
	{"odds", "k of the last n sessions", definition{practice, "independent trials of one accuracy; that the window may be met before n sessions exist is Newel’s own convention"}},
	{"odds", "", definition{practice, "independent trials of one accuracy, and the words of the criterion"}},
	{"luck", "", definition{practice, "independent trials of one accuracy; the two learners and the bounds of lucky and slow are Newel’s own convention"}},
	{"effect", "Log response ratio", definition{secondary, "the mathematical vignette of an R package for single-case data"}},
	{"effect", "95% interval of NAP", definition{secondary, "the mathematical vignette of an R package, which cites Newcombe 2006; that the trivial root is divided out is Newel’s own convention"}},
	{"effect", "", definition{secondary, "the mathematical vignette of an R package for single-case data, which cites the papers; the papers were not opened"}},
	{"trend", "Split-middle", definition{memory, "White and Haring 1980, not opened; the shift by the median residual is Newel’s own choice among several"}},
	{"trend", "Stability", definition{memory, "Lane and Gast 2014, not opened; that the borders are inside is Newel’s own convention"}},
	{"trend", "Worked series", definition{secondary, "Mann–Kendall as in a page that quotes EPA QA/G-9S; Theil–Sen, least squares and τ as reference libraries define them"}},
	{"trend", "", definition{secondary, "Mann–Kendall as in a page that quotes EPA QA/G-9S; Theil–Sen and τ as reference libraries define them"}},
	{"celeration", "", definition{memory, "least squares on log₁₀, times seven days, recalled from the precision-teaching literature, not opened"}},
	{"agreement", "Cohen’s κ", definition{memory, "Cohen 1960, not opened; a reference library gives the same values"}},
	{"agreement", "Agreement: the published example", definition{secondary, "reworded copies of Reed and Azulay 2011"}},
	{"agreement", byHand, definition{practice, "how two incomplete records are paired is Newel’s own convention"}},
	{"agreement", "", definition{memory, "Cooper, Heron and Heward, not opened; several measures also seen in copies of Reed and Azulay 2011"}},
	{"preference", "Paired", definition{memory, "Fisher and others 1992, not opened; that ties share the mean rank is Newel’s own convention"}},
	{"preference", "", definition{secondary, "abstracts and study notes on DeLeon and Iwata 1996 and on Roane and others 1998; the papers were not opened"}},
	{"sampling", "", definition{memory, "partial-interval, whole-interval and momentary sampling as textbooks define them; seconds as the unit are Newel’s own convention"}},
}

func definitionOf(g *group) (definition, bool) {
	for _, d := range definitions {
		if d.kind == g.kind && strings.HasPrefix(g.title, d.title) {
			return d.is, true
		}
	}
	return definition{}, false
}

// byHand is the title of the only table marked computed that no script of the
// project recomputes.
const byHand = "Agreement when one observer missed something"

// scriptOf returns the script in the project that recomputes a table marked
// computed, or "" for none.
func scriptOf(g *group) string {
	switch {
	case g.mark != computed, g.title == byHand:
		return ""
	case g.kind == "luck":
		return "luck.py"
	}
	return "independent.py"
}

// TestDefinitions checks that every table says where its definition is from, and
// that every definition is of some table.
func TestDefinitions(t *testing.T) {
	t.Parallel()
	used := map[definition]bool{}
	for _, g := range groups() {
		d, ok := definitionOf(&g)
		if !ok {
			t.Errorf("%s: where is its definition from?", g.title)
		}
		used[d] = true
	}
	for _, d := range definitions {
		if !used[d.is] {
			t.Errorf("no table has the definition %q", d.is.words)
		}
	}
}
