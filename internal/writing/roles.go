package writing

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"newel/internal/newel"
)

// OtherRole copies a strand for another role: the same breakdown under new
// keys. In its texts the two roles' names change places, and so do the words of
// each pair ("finds", "hides"). It is open from the start.
func OtherRole(from *newel.Strand, role newel.ActivityRole, pairs [][2]string) newel.Strand {
	swap := newSwap(append(slices.Clone(pairs), [2]string{from.Role.Name, role.Name}))
	out := newel.Strand{Key: newel.NewKey(), Role: role}
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
		s.SayIn = nil // somebody who speaks the language has to say it anew
		out.Steps = append(out.Steps, s)
	}
	return out
}

// JoinStep adds a strand in which the roles come together: it opens once the
// steps named have been met, each in its own strand, and holds the step. It
// gives the strand's key, or "" if one of the steps is not there.
func JoinStep(d *newel.Document, role string, step newel.Step, after ...string) string {
	strand := newel.Strand{Key: newel.NewKey(), Role: newel.ActivityRole{Name: role}, Steps: []newel.Step{step}}
	for _, key := range after {
		from, _ := d.Step(key)
		if from == nil {
			return ""
		}
		strand.Opens = append(strand.Opens, newel.Opening{Strand: from.Key, Step: key})
	}
	d.Strands = append(d.Strands, strand)
	return strand.Key
}

// swap lets words change places, all at once, so that none is changed back.
type swap map[string]string

func newSwap(pairs [][2]string) swap {
	s := swap{}
	for _, p := range pairs {
		if p[0] != "" && p[1] != "" {
			s[strings.ToLower(p[0])], s[strings.ToLower(p[1])] = p[1], p[0]
		}
	}
	return s
}

// in finds the longest first, so that "find first" wins over "find".
func (s swap) in(text string) string {
	var words []string
	for word := range s {
		words = append(words, regexp.QuoteMeta(word))
	}
	if len(words) == 0 {
		return text
	}
	slices.SortFunc(words, func(a, b string) int {
		if len(a) != len(b) {
			return len(b) - len(a)
		}
		return strings.Compare(a, b)
	})
	pattern := regexp.MustCompile(`(?i)` + strings.Join(words, "|"))
	var out strings.Builder
	last := 0
	for _, at := range pattern.FindAllStringIndex(text, -1) {
		found := text[at[0]:at[1]]
		other, known := s[strings.ToLower(found)]
		if !known || !wholeWord(text, at[0], at[1]) {
			continue
		}
		out.WriteString(text[last:at[0]])
		out.WriteString(likeFirst(other, found))
		last = at[1]
	}
	return out.String() + text[last:]
}

// wholeWord reports whether no letter stands against the part on either side.
func wholeWord(text string, from, to int) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:from])
	after, _ := utf8.DecodeRuneInString(text[to:])
	return !unicode.IsLetter(before) && !unicode.IsLetter(after)
}

// likeFirst begins the word as the one it stands for begins.
func likeFirst(word, model string) string {
	m, _ := utf8.DecodeRuneInString(model)
	w, n := utf8.DecodeRuneInString(word)
	if unicode.IsUpper(m) {
		return string(unicode.ToUpper(w)) + word[n:]
	}
	return string(unicode.ToLower(w)) + word[n:]
}
