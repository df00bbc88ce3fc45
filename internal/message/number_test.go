package message

import "testing"

// TestNumbersAreRoundedOnce checks the last digit: decimals in the middle go up,
// whichever side of it their floats are on, and two thirds are shown as 66.7.
func TestNumbersAreRoundedOnce(t *testing.T) {
	t.Parallel()
	p := catalogue(t).For("en")
	for n, want := range map[float64]string{
		0: "0", 0.04: "0", 0.05: "0.1", 0.15: "0.2", 0.25: "0.3", 0.35: "0.4", 0.45: "0.5",
		6.25: "6.3", 18.75: "18.8", 66.64: "66.6", 66.65: "66.7", 66.649999: "66.6", 200.0 / 3: "66.7", 100.0 / 3: "33.3",
		80: "80", 99.94: "99.9", 99.95: "100", 1234.56: "1,234.6", -0.06: "-0.1", -0.04: "0", 1e20: "100,000,000,000,000,000,000",
	} {
		if got := p.Number(n); got != want {
			t.Errorf("%v is shown as %s, want %s", n, got, want)
		}
		if got := p.Percent(n); got != want+"%" {
			t.Errorf("%v percent are shown as %s", n, got)
		}
	}
}

// TestFormFollowsTheShownNumber checks that the plural form fits the number as
// it is shown, not as it was before it was rounded.
func TestFormFollowsTheShownNumber(t *testing.T) {
	t.Parallel()
	p := catalogue(t).For("en")
	for n, want := range map[float64]string{
		0: "0 errors", 0.04: "0 errors", 0.5: "0.5 errors", 0.94: "0.9 errors", 0.96: "1 error", 1: "1 error", 1.04: "1 error",
		1.05: "1.1 errors", 1.96: "2 errors", 2: "2 errors", 10: "10 errors", 21: "21 errors", 1000: "1,000 errors",
	} {
		if got := p.Text("value.errors", "n", n); got != want {
			t.Errorf("%v: %q, want %q", n, got, want)
		}
	}
	if got := p.Text("graph.name", "n", 0.04, "results", ""); got != "No sessions yet." {
		t.Errorf("what is shown as none: %q", got)
	}
	c, err := load(plurals)
	if err != nil {
		t.Fatal(err)
	}
	// CLDR, recalled: fractions are "other" in Polish and in Arabic.
	for _, test := range []struct {
		lang string
		n    float64
		want string
	}{
		{"pl", 0.96, "one"},
		{"pl", 2.04, "few"},
		{"pl", 2.5, "other"},
		{"pl", 4.96, "many"},
		{"pl", 100, "many"},
		{"ar", 0.04, "zero"},
		{"ar", 1.98, "two"},
		{"ar", 2.5, "other"},
	} {
		if got := c.For(test.lang).Text("a.b", "n", test.n); got != test.want {
			t.Errorf("%s %v: %q, want %q", test.lang, test.n, got, test.want)
		}
	}
}
