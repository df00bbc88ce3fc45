package message

import (
	"strings"
	"testing"
	"testing/fstest"
	"unicode"

	"golang.org/x/text/language"

	"newel/internal/newel"
)

func catalogue(t *testing.T) *Catalogue {
	t.Helper()
	c, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestText(t *testing.T) {
	t.Parallel()
	p := catalogue(t).For("en")
	tests := map[string]struct{ got, want string }{
		"plain":                   {p.Text("nav.library"), "Library"},
		"an argument":             {p.Text("program.role_twice", "role", "Finder"), "The role “Finder” appears twice."},
		"one":                     {p.Text("lacking.people", "have", 0, "n", 1), "0 of 1 person"},
		"other":                   {p.Text("lacking.people", "have", 1, "n", 2), "1 of 2 people"},
		"a large number":          {p.Text("field.too_long", "length", 12345, "limit", int64(4000)), "This has 12,345 characters. The limit is 4,000."},
		"braces in a value":       {p.Text("program.role_twice", "role", "{role}"), "The role “{role}” appears twice."},
		"a value that is missing": {p.Text("program.role_twice"), "The role “{role}” appears twice."},
		"unknown":                 {p.Text("no.such"), "no.such"},
		"nothing known":           {p.Text("criterion.goal", "part", "", "reason", "r", "example", "e"), "The goal is not clear: r. For example: e"},
		"none":                    {p.Text("graph.name", "n", 0, "results", ""), "No sessions yet."},
		"something known":         {p.Text("criterion.goal", "part", "8", "reason", "r", "example", "e"), "The goal is not clear at “8”: r. For example: e"},
		"a problem":               {p.Problem(newel.Problem{Key: "field.time_zone", Args: map[string]any{"example": "Asia/Makassar"}}), "This is not a time zone. Use one such as Asia/Makassar."},
		"a day":                   {p.Day(newel.NewDay(2026, 3, 9)), "9 March 2026"},
		"a day without its year":  {p.DayShort(newel.NewDay(2026, 12, 31)), "31\u00a0December"},
		"no day":                  {p.Day(newel.Day{}), ""},
		"a weekday":               {p.Weekday(newel.NewDay(2026, 3, 9)), "Monday"},
		"a day among arguments":   {p.Text("reading.line", "status", "s", "detail", newel.NewDay(2026, 3, 9)), "s: 9 March 2026"},
		"a number":                {p.Number(1234.56), "1,234.6"},
		"a flag":                  {p.Flag("flat"), "no progress"},
		"why a flag":              {p.FlagReason("flat", 18), "No progress: in the last 18 sessions, the newest third is not clearly better than the oldest third."},
		"in progress":             {p.Reading(Reading{Status: "under_way", Lacking: []Shortfall{{"sessions", 2, 3}, {"people", 1, 2}}}), "in progress: 2 of 3 sessions, 1 of 2 people"},
		"needs attention":         {p.Reading(Reading{Status: "stalled", Flags: []string{"flat", "help_bound"}}), "needs attention: no progress, correct only with prompts"},
		"met":                     {p.Reading(Reading{Status: "met", MetOn: newel.NewDay(2026, 3, 9)}), "criterion met: 9 March 2026"},
		"idle":                    {p.Reading(Reading{Status: "idle", Flags: []string{"idle"}}), "no sessions lately"},
		"a number as float64":     {p.Text("lacking.days", "have", 1.0, "n", 1.0), "1 of 1 day"},
	}
	for name, test := range tests {
		if test.got != test.want {
			t.Errorf("%s: %q, want %q", name, test.got, test.want)
		}
	}
}

// plurals has the CLDR plural forms for whole numbers. Polish and Arabic are
// well-known hard cases (plural rules of CLDR, recalled: Polish 2–4 few, 5–21
// many, 22–24 few; Arabic 0 zero, 1 one, 2 two, 3–10 few, 11–99 many, 100
// other).
var plurals = fstest.MapFS{
	"en.json": {Data: []byte(`{"a.b": {"one": "{n} one", "other": "{n} other"}, "number.of": "{have}/{need}"}`)},
	"pl.json": {Data: []byte(`{"a.b": {"one": "one", "few": "few", "many": "many", "other": "other"}, "number.of": "{have}/{need}"}`)},
	"ar.json": {Data: []byte(`{"a.b": {"zero": "zero", "one": "one", "two": "two", "few": "few", "many": "many", "other": "other"}, "number.of": "{have}/{need}"}`)},
}

func TestPluralsAndDirection(t *testing.T) {
	t.Parallel()
	c, err := load(plurals)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		lang string
		n    int
		want string
	}{
		{"pl", 1, "one"},
		{"pl", 3, "few"},
		{"pl", 12, "many"},
		{"pl", 22, "few"},
		{"ar", 0, "zero"},
		{"ar", 2, "two"},
		{"ar", 7, "few"},
		{"ar", 50, "many"},
		{"ar", 100, "other"},
	} {
		if got := c.For(test.lang).Text("a.b", "n", test.n); got != test.want {
			t.Errorf("%s %d: %q, want %q", test.lang, test.n, got, test.want)
		}
	}
	if dir := c.For("ar").Dir(); dir != "rtl" {
		t.Errorf("Arabic is written %s", dir)
	}
	if dir := c.For("pl").Dir(); dir != "ltr" {
		t.Errorf("Polish is written %s", dir)
	}
	for tag, want := range map[string]string{"he": "rtl", "fa": "rtl", "ur": "rtl", "az-Arab": "rtl", "az": "ltr", "ms": "ltr", "zh": "ltr"} {
		if got := direction(language.MustParse(tag)); got != want {
			t.Errorf("%s is written %s, want %s", tag, got, want)
		}
	}
}

func TestChoosingALanguage(t *testing.T) {
	t.Parallel()
	c, err := load(plurals)
	if err != nil {
		t.Fatal(err)
	}
	for accept, want := range map[string]string{
		"":                                "en",
		"ar-EG,ar;q=0.9,en;q=0.5":         "ar",
		"ms-MY,pl;q=0.5":                  "pl",
		"ja":                              "en",
		"en-GB":                           "en",
		"en-XA":                           Pseudo,
		"not a language!":                 "en",
		strings.Repeat("x-very-long,", 9): "en",
	} {
		if got := c.Printer(accept).Language(); got != want {
			t.Errorf("%q selects %s, want %s", accept, got, want)
		}
	}
	if got := c.Languages(); got[0] != "en" || len(got) != 3 {
		t.Errorf("languages = %v", got)
	}
}

func TestInvalidCatalogues(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct{ en, ms, want string }{
		"not JSON":            {`{`, `{}`, "en.json"},
		"duplicate key":       {`{"a.b": "x", "a.b": "y"}`, `{}`, "a.b appears twice"},
		"no key":              {`{"Hello": "x"}`, `{}`, "Hello"},
		"a number":            {`{"a.b": 3}`, `{}`, "a.b"},
		"no other form":       {`{"a.b": {"one": "x"}}`, `{}`, "other"},
		"an invalid category": {`{"a.b": {"single": "x", "other": "y"}}`, `{}`, "single"},
		"a stray brace":       {`{"a.b": "x {y"}`, `{}`, "brace"},
		"an odd placeholder":  {`{"a.b": "{Two words}"}`, `{}`, "brace"},
		"an empty text":       {`{"a.b": " "}`, `{}`, "empty"},
		"a missing key":       {`{"a.b": "x", "a.c": "x"}`, `{"a.b": "x"}`, "a.c is missing"},
		"an extra key":        {`{"a.b": "x"}`, `{"a.b": "x", "a.c": "x"}`, "a.c is not in"},
		"an unknown argument": {`{"a.b": "{n}"}`, `{"a.b": "{m}"}`, "{m}"},
		"a file of no tongue": {`{"a.b": "x"}`, ``, "xx!"},
		"an unused argument":  {`{"a.b": "{n}"}`, `{"a.b": "x"}`, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := fstest.MapFS{"en.json": {Data: []byte(test.en)}, "ms.json": {Data: []byte(test.ms)}}
			if test.ms == "" {
				dir["xx!.json"] = &fstest.MapFile{Data: []byte(test.en)}
				delete(dir, "ms.json")
			}
			_, err := load(dir)
			if test.want == "" {
				if err != nil {
					t.Errorf("error = %v", err)
				}
				return
			}
			if err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("error = %v, want one that contains %q", err, test.want)
			}
		})
	}
}

func TestPseudoChangesEveryText(t *testing.T) {
	t.Parallel()
	c := catalogue(t)
	plain, odd := c.For("en"), c.For(Pseudo)
	for key := range plain.entries {
		text, pseudo := plain.Text(key), odd.Text(key)
		if !strings.HasPrefix(pseudo, "[") || !strings.HasSuffix(pseudo, "~]") || len(pseudo) <= len(text) {
			t.Errorf("%s: %q became %q", key, text, pseudo)
		}
		stripped := placeholder.ReplaceAllString(pseudo, "")
		if strings.ContainsFunc(stripped, func(r rune) bool { return r < unicode.MaxASCII && unicode.IsLetter(r) }) {
			t.Errorf("%s: %q has plain letters left", key, pseudo)
		}
	}
	if got := odd.Text("lacking.days", "have", 1, "n", 1); !strings.Contains(got, "1") || !strings.Contains(got, "ðáý") || strings.Contains(got, "ðáýš") {
		t.Errorf("plural in the pseudo-language: %q", got)
	}
}

func TestEveryKindHasText(t *testing.T) {
	t.Parallel()
	p := catalogue(t).For("en")
	var keys []string
	for _, c := range newel.Capacities {
		keys = append(keys, "capacity."+string(c))
	}
	for _, c := range newel.ConsentKinds {
		keys = append(keys, "consent."+string(c))
	}
	for _, c := range newel.ConsentNeeded {
		keys = append(keys, "assign.missing.consent_"+string(c))
	}
	// Kinds from the evaluator, which this package does not import.
	for _, k := range strings.Fields("falling flat uneven long close floor help_bound help_stuck guessing step_back less_help more_help idle differs_by_person differs_by_place slower one_side distress check_again slipping") {
		keys = append(keys, "flag."+k, "flag."+k+".why")
	}
	for prefix, kinds := range map[string]string{
		"status.":    "gathering under_way met stalled idle",
		"lacking.":   "sessions days people places targets",
		"why.":       "void unfit future baseline maintenance other_kind no_data too_few_trials distress declined",
		"outcome.":   "correct incorrect no_response declined no_chance adult_part",
		"decision.":  "advance step_back hold revise branch pause resume finish seen less_help more_help lift",
		"criterion.": "empty goal number range window qualifier twice level needs step_back",
		"surplus.":   "beyond later differs",
	} {
		for _, k := range strings.Fields(kinds) {
			keys = append(keys, prefix+k)
		}
	}
	for _, key := range keys {
		if !p.Has(key) {
			t.Errorf("%s has no text", key)
		}
	}
}
