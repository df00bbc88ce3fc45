package criterion

import (
	"testing"

	"pgregory.net/rapid"
)

// TestPartsRoundTrip checks that the form fields of a criterion parse as that
// criterion again.
func TestPartsRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		want := anyCriterion(t)
		text := want.Parts().String()
		got, err := Parse(text, partsVocabulary)
		if err != nil {
			t.Fatalf("%q of %q: %v", text, want, err)
		}
		if got.String() != want.String() {
			t.Errorf("%q was parsed as %q", want, got)
		}
	})
}

var partsVocabulary = Vocabulary{HelpLevels: []string{"point", "show"}, Targets: []string{"cup", "spoon"}}

// anyCriterion generates criteria that both the form and the grammar can
// express.
func anyCriterion(t *rapid.T) Criterion {
	reads := func(p Parts) bool {
		_, err := Parse(p.String(), partsVocabulary)
		return err == nil
	}
	c, err := Parse(rapid.Custom(anyParts).Filter(reads).Draw(t, "parts").String(), partsVocabulary)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func anyParts(t *rapid.T) Parts {
	number := rapid.SampledFrom([]string{"1", "50", "66.7", "80", "100"})
	small := rapid.SampledFrom([]string{"", "1", "2", "3"})
	goal := func(name string) GoalParts {
		return GoalParts{
			Form: rapid.SampledFrom(GoalForms).Draw(t, name), Compare: rapid.SampledFrom(comparisonWords[:]).Draw(t, name+" compare"),
			Number: number.Draw(t, name+" number"), Unit: rapid.SampledFrom([]string{"seconds", "minutes"}).Draw(t, name+" unit"), Level: "show",
		}
	}
	p := Parts{
		Goal: goal("goal"), Need: rapid.SampledFrom([]string{"1", "2", "3"}).Draw(t, "need"), Of: rapid.SampledFrom([]string{"", "4", "5"}).Draw(t, "of"),
		Trials: small.Draw(t, "trials"), EachTarget: rapid.Bool().Draw(t, "each"),
		Only: rapid.SampledFrom([]Only{AnyKind, ProbesOnly, TeachingOnly}).Draw(t, "only"),
		Days: small.Draw(t, "days"), People: small.Draw(t, "people"), Places: small.Draw(t, "places"),
	}
	if rapid.Bool().Draw(t, "has second") {
		p.Second = goal("second")
	}
	return p
}

func TestLeastCorrect(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text string
		n, k int
		ok   bool
	}{
		{"80% independent in 3 sessions in a row", 3, 3, true}, // 80 % of 3 can only be 3 of 3
		{"80% independent in 3 sessions in a row", 5, 4, true},
		{"90% independent in 2 sessions in a row", 10, 9, true},
		{"above 80% independent in 1 session", 5, 5, true},
		{"above 100% independent in 1 session", 5, 0, false},
		{"at most 20% independent in 1 session", 5, 0, false},
		{"a response within 5 seconds in 1 session", 5, 0, false},
	} {
		parsed, err := Parse(c.text, Vocabulary{})
		if err != nil {
			t.Fatal(err)
		}
		if k, ok := parsed.Goal.LeastCorrect(c.n); k != c.k || ok != c.ok {
			t.Errorf("%s, %d trials: %d, %v; want %d, %v", c.text, c.n, k, ok, c.k, c.ok)
		}
	}
}
