package writing

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"newel/internal/program"
)

// OtherRole copies a strand for the other role: the same breakdown with new
// keys. In its texts the names of the two roles are swapped, and so are the
// words of each pair ("finds", "hides"). It is open from the start.
func OtherRole(from *program.Strand, role program.ActivityRole, pairs [][2]string) program.Strand {
	swap := newSwap(append(slices.Clone(pairs), [2]string{from.Role.Name, role.Name}))
	out := program.Strand{Key: program.NewKey(), Role: role}
	for i := range from.Steps {
		s := from.Steps[i].Fresh()
		for _, text := range []*string{
			&s.Name, &s.Say, &s.DoneWhen, &s.Context, &s.Moment, &s.Notice,
			&s.Fits.People, &s.Fits.Place, &s.Fits.Materials,
		} {
			*text = swap.in(*text)
		}
		for _, list := range [][]string{s.Examples, s.NonExamples} {
			for j := range list {
				list[j] = swap.in(list[j])
			}
		}
		s.SayIn = nil // someone who speaks the language has to word it again
		out.Steps = append(out.Steps, s)
	}
	return out
}

// JoinStep adds a strand in which the roles come together. It contains the step
// and opens once the given steps are met, each in its own strand. It returns
// the strand's key, or "" if one of the steps does not exist.
func JoinStep(d *program.Document, role string, step program.Step, after ...string) string {
	strand := program.Strand{Key: program.NewKey(), Role: program.ActivityRole{Name: role}, Steps: []program.Step{step}}
	for _, key := range after {
		from, _ := d.Step(key)
		if from == nil {
			return ""
		}
		strand.Opens = append(strand.Opens, program.Opening{Strand: from.Key, Step: key})
	}
	d.Strands = append(d.Strands, strand)
	return strand.Key
}

// swap replaces words simultaneously, so that no replacement is replaced again.
type swap struct {
	by      map[string]string // lower-case word → replacement
	pattern *regexp.Regexp
}

func newSwap(pairs [][2]string) swap {
	by := map[string]string{}
	for _, p := range pairs {
		if p[0] != "" && p[1] != "" {
			by[strings.ToLower(p[0])], by[strings.ToLower(p[1])] = p[1], p[0]
		}
	}
	return swapOf(by)
}

// swapOf matches the longest first, so that "find first" wins over "find".
func swapOf(by map[string]string) swap {
	words := slices.SortedFunc(maps.Keys(by), func(a, b string) int {
		if len(a) != len(b) {
			return len(b) - len(a)
		}
		return strings.Compare(a, b)
	})
	for i := range words {
		words[i] = regexp.QuoteMeta(words[i])
	}
	return swap{by, regexp.MustCompile(`(?i)` + strings.Join(words, "|"))}
}

func (s swap) in(text string) string { return s.each(text, func(string, string) {}) }

// each replaces the words, calling tell for every replacement.
func (s swap) each(text string, tell func(word, by string)) string {
	var out strings.Builder
	last := 0
	for _, at := range s.pattern.FindAllStringIndex(text, -1) {
		found := text[at[0]:at[1]]
		other, known := s.by[strings.ToLower(found)]
		if !known || !wholeWord(text, at[0], at[1]) {
			continue
		}
		tell(found, other)
		out.WriteString(text[last:at[0]])
		out.WriteString(likeFirst(other, found))
		last = at[1]
	}
	return out.String() + text[last:]
}

// wholeWord reports whether the part has no letter directly before or after it.
func wholeWord(text string, from, to int) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:from])
	after, _ := utf8.DecodeRuneInString(text[to:])
	return !unicode.IsLetter(before) && !unicode.IsLetter(after)
}

// likeFirst capitalizes word like model.
func likeFirst(word, model string) string {
	m, _ := utf8.DecodeRuneInString(model)
	w, n := utf8.DecodeRuneInString(word)
	if unicode.IsUpper(m) {
		return string(unicode.ToUpper(w)) + word[n:]
	}
	return string(unicode.ToLower(w)) + word[n:]
}
