package message

import (
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// ban is a pattern that no English text of the catalog may match. It applies to
// texts, not to keys.
type ban struct {
	pattern *regexp.Regexp
	why     string
	plant   string // a text that the pattern must find
	screens bool   // only for texts on screens: in a program, things really are put somewhere
}

func banned(pattern, why, plant string) ban {
	return ban{pattern: regexp.MustCompile(pattern), why: why, plant: plant}
}

func onScreens(b ban) ban {
	b.screens = true
	return b
}

// bans are phrases that used to occur in the texts and that a native speaker
// would not write.
var bans = []ban{
	banned(`may be left out`, "say “optional”", "The reason may be left out."),
	banned(`\b[Rr]est(s|ing)? (on|after|since|until)\b|\bIt rests\b`, "a status is based on sessions; a program is paused", "It rests on 3 sessions."),
	banned(`\banew\b|\bmeanwhile\b|\buntil now\b`, "say “again”, “in the meantime”, “so far” or “current”", "Save it anew."),
	banned(`\b(is|taught|judged) otherwise\b|^[Oo]therwise(:|$)`, "say “differently”", "It is taught otherwise."),
	banned(`\b(is|are) no (field|picture|number|success)\b|\bis none of\b`, "say “is not a …”", "This is no picture."),
	banned(`\b([Oo]ne|thing|example|field|language) a line\b`, "say “per line”", "One a line."),
	banned(`\bstands? (there|here|on|in|beside|where|after)\b|\bto stand here\b|what stands\b`, "texts appear; they do not stand", "The label stands there twice."),
	banned(`\b(lies|lie|lay) (near|behind|beside|between|in|there|on|over|[0-9{])|^Lying`, "things are somewhere; they do not lie", "The right one lies in place 2."),
	banned(`\b[Ww]hoever\b`, "name the person, or say “anyone who”", "Whoever has practiced it."),
	banned(`\b([Ss]ome|[Nn]o|[Ee]very)body of\b|\bphones? of the\b`, "say “someone in”, “the family’s phone”", "A phone of the family."),
	banned(`\b([Gg]o|[Gg]oes) on\b|\bcome to it\b`, "say “continue”", "Go on with the draft."),
	banned(`\bone (sees|can tell|uses|relies)\b|^First one\b`, "address the reader: “you”", "So that one can tell later."),
	banned(`\breads? along\b|\blook that\b`, "say “follow”, “check that”", "The guest reads along."),
	banned(`\b(This|newest) stays?\b|\{n\} stays?\b|\bstay by stay\b`, "time on a step is not a “stay”", "This stay ended."),
	banned(`\bclimbed\b|\bthinner\b|\bcut finer\b`, "the stairway is drawn, not spoken: “learned”, “smaller steps”", "When a step is climbed."),
	banned(`^Reached in\b|\bbeen reached\b|^reached,`, "a criterion is met", "Reached in 3 sessions."),
	banned(`\btoo early to read\b|\bbeen read\. |\b[Tt]he reading\b|\bno reading\b`, "screens say “status”", "It is too early to read."),
	banned(`\bpractis|\b[Ee]-mail\b|[0-9}] %|[a-z]'s\b`, "US spelling, no space before %, curly apostrophes", "80 % of the time"),
	banned(`\b[Nn]ote (it|as|a|anew)\b|\b(was|is|been|nothing) noted\b`, "say “record”", "Note it as acquired."),
	banned(`\b(take|takes|taken) (it )?in\b|\bnot be taken\b`, "say “accept” or “import”", "It is taken in."),
	banned(`\b[Ii]t came\b|\bit come\b|\bdid not come\b|\bcame of it\b`, "say “it happened”", "Say what came of it."),
	banned(`\bso many\b|\b[Nn]o chance\b|\bworth it\b`, "say “that many”, “no turn”, “reward”", "Plan so many weeks."),
	banned(`\bcut off\b|\bComes in\b|\bway in\b|\bfirst page\b`, "say “remove access”, “sign in”, “home page”", "Has no way in."),
	banned(`\b[Hh]and(ed)? (it |the file )?in\b`, "say “submit”", "Hand it in."),
	banned(`\b[Ll]ook on$|\b[Ll]ook on,|\blook(ed|ing) on\b|\byou look on\b`, "say “observe”", "Look on"),
	onScreens(banned(`\b[Pp]ut (it|them|thinner steps|these levels|these steps) (in|on)\b|\bput in\b`, "say “add”", "Put them in")),
	banned(`\basks? for a decision\b|\bare quiet\b|^Quiet$`, "say “needs a decision”, “needs nothing”", "2 rows ask for a decision."),
	banned(`\bbegun\b|\b(to|could) begin\b`, "say “start”", "No session was begun."),
	banned(`\b([Ss]ome|[Aa]ny|[Ee]very|[Nn]o)body\b`, "house style: someone, anyone, everyone, no one", "Somebody else changed this."),
}

// An audience reads the keys of some areas (the part of a key before the first
// dot). It has its own words for some concepts.
type audience struct {
	name  string
	areas string
	ban
}

var audiences = []audience{
	{
		"families", "today phone teach recorder start outbox face plain plainly messages question incident",
		banned(`(?i)\b(trials?|prompts?|probes?|criteri(on|a)|independent|baseline)\b`,
			"families read “try”, “help”, “goal” and “without help”", "Use the prompt."),
	},
	{
		"clinicians", "draft draftfield stepfield measure crit critform odds ladder helpscale twin check finding",
		banned(`\b[Tt]r(y|ies)\b|[Hh]elp levels?|[Ss]cales? of help`,
			"clinicians read “trial”, “prompt level” and “prompt hierarchy”", "The planned tries."),
	},
}

// excused lists texts that may match, by key and pattern, with reasons.
var excused = map[[2]string]string{}

// TestTextsAreIdiomatic checks every English text against the bans.
func TestTextsAreIdiomatic(t *testing.T) {
	t.Parallel()
	texts := textsByKey(catalogue(t).For(fallback).entries)
	if len(texts) < 1000 {
		t.Fatalf("found only %d keys; has the catalog moved?", len(texts))
	}
	used := map[[2]string]bool{}
	for _, f := range lint(texts) {
		at := [2]string{f.key, f.pattern}
		used[at] = true
		if excused[at] == "" {
			t.Errorf("%s: %q matches %s: %s", f.key, f.text, f.pattern, f.why)
		}
	}
	for at, why := range excused {
		if !used[at] {
			t.Errorf("%s no longer needs its exception from %s (%s)", at[0], at[1], why)
		}
	}
}

// TestEveryBanMatchesItsExample checks that each pattern matches its own
// example.
func TestEveryBanMatchesItsExample(t *testing.T) {
	t.Parallel()
	for _, b := range bans {
		plantIn(t, "layout.planted", b)
	}
	for _, a := range audiences {
		for area := range strings.FieldsSeq(a.areas) {
			plantIn(t, area+".planted", a.ban)
		}
		if found := lint(map[string][]string{"layout.planted": {a.plant}}); len(found) > 0 {
			t.Errorf("a ban for %s applies everywhere: %v", a.name, found)
		}
	}
}

func plantIn(t *testing.T, key string, b ban) {
	t.Helper()
	found := lint(map[string][]string{key: {"This is fine.", b.plant}})
	if !slices.ContainsFunc(found, func(f finding) bool { return f.pattern == b.pattern.String() && f.text == b.plant }) {
		t.Errorf("%s: %q is not found by %s", key, b.plant, b.pattern)
	}
}

// TestEveryAreaOfAnAudienceExists keeps the lists of areas up to date.
func TestEveryAreaOfAnAudienceExists(t *testing.T) {
	t.Parallel()
	areas := map[string]bool{}
	for key := range catalogue(t).For(fallback).entries {
		area, _, _ := strings.Cut(key, ".")
		areas[area] = true
	}
	for _, a := range audiences {
		for area := range strings.FieldsSeq(a.areas) {
			if !areas[area] {
				t.Errorf("%s read no key that begins with %s.", a.name, area)
			}
		}
	}
}

// TestProgramTextsAreIdiomatic checks the starter programs and those of the
// invented clinic against the same bans, line by line, because most of their
// texts are for families. It skips criteria, which have their own language.
func TestProgramTextsAreIdiomatic(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../programfile/starter/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	demo, err := filepath.Glob("../demo/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 16 || len(demo) < 1 {
		t.Fatalf("%d starter programs and %d of the demo were found", len(files), len(demo))
	}
	for _, file := range append(files, demo...) {
		body, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for i, line := range strings.Split(string(body), "\n") {
			for _, problem := range lintProgramLine(line) {
				t.Errorf("%s:%d: %q %s", filepath.Base(file), i+1, strings.TrimSpace(line), problem)
			}
		}
	}
}

var (
	spokenField  = regexp.MustCompile(`^\s*(- )?say: `)
	familyField  = regexp.MustCompile(`^\s*(- )?(setting|cautions|stop_rule|reinforcing|say|help_rule|if_right|if_not_yet|if_says_no|name|done_when|context|moment|notice|actions): `)
	judgingField = regexp.MustCompile(`^\s*(- )?(criterion|step_back|less_help|more_help|measure|phase): `)
	staging      = regexp.MustCompile(`[()\[\]{}…]|\bsomething\b`)
	contraction  = regexp.MustCompile(`[a-z][’'](t|re|ll|ve|m|d)\b|\b(?i:that|it|there|let|what|here|who)[’']s\b`)
)

// lintProgramLine returns the problems in one line of a program's file.
func lintProgramLine(line string) []string {
	var problems []string
	if judgingField.MatchString(line) {
		return nil
	}
	for _, b := range bans {
		if !b.screens && b.pattern.MatchString(line) {
			problems = append(problems, "matches "+b.pattern.String()+": "+b.why)
		}
	}
	if spokenField.MatchString(line) && staging.MatchString(line) {
		problems = append(problems, "is spoken as it is written: no placeholder, no stage direction")
	}
	if familyField.MatchString(line) {
		if families := audiences[0]; families.pattern.MatchString(line) {
			problems = append(problems, families.why)
		}
		if contraction.MatchString(line) {
			problems = append(problems, "families may read it as a second language: no contractions")
		}
	}
	return problems
}

func TestProgramLint(t *testing.T) {
	t.Parallel()
	for line, bad := range map[string]bool{
		"  say: Give me the cup.":              false,
		"  say: Give me the (name).":           true,
		"  say: (the bell)":                    true,
		"  say: Let’s play.":                   true,
		"  help_rule: Use the least prompt.":   true,
		"  help_rule: Give the least help.":    false,
		"  if_right: Go on at once.":           true,
		"maintenance: Probe once a week.":      false,
		"  criterion: 80% in 3 sessions":       false,
		"        context: one adult, a prompt": true,
		"    text: somebody to play with":      true,
		"    answer: Take the child’s hand.":   false,
	} {
		if got := lintProgramLine(line); (len(got) > 0) != bad {
			t.Errorf("%q: %v", line, got)
		}
	}
}

// finding is one text that matches a pattern.
type finding struct{ key, text, pattern, why string }

// lint checks texts by key.
func lint(texts map[string][]string) []finding {
	var found []finding
	for _, key := range slices.Sorted(maps.Keys(texts)) {
		for _, b := range bansFor(key) {
			for _, text := range texts[key] {
				if b.pattern.MatchString(text) {
					found = append(found, finding{key, text, b.pattern.String(), b.why})
				}
			}
		}
	}
	return found
}

func bansFor(key string) []ban {
	area, _, _ := strings.Cut(key, ".")
	all := slices.Clone(bans)
	for _, a := range audiences {
		if slices.Contains(strings.Fields(a.areas), area) {
			all = append(all, a.ban)
		}
	}
	return all
}

func textsByKey(entries map[string]entry) map[string][]string {
	texts := map[string][]string{}
	for key, e := range entries {
		texts[key] = e.texts()
	}
	return texts
}
