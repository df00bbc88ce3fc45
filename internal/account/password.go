package account

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
	"newel/internal/newel"
)

// Lengths of a password that is the only factor, in code points after
// normalization. NIST SP 800-63B-4, 3.1.1.2 (2025; read in secondary sources
// and from memory): at least 15 if the password is the only factor, at least 64
// allowed, each code point one character, no composition rules, no periodic
// change, and comparison of the whole password with a list of known bad ones.
const (
	MinPassword = 15
	MaxPassword = 256
)

// CheckPassword adds a problem with the field if the password is not
// acceptable. context lists words that an attacker would try first for this
// person: the sign-in name, the clinic, their own name.
func CheckPassword(e *newel.Invalid, field, password string, context ...string) {
	if !utf8.ValidString(password) {
		e.Add(field, "field.not_text")
		return
	}
	length := utf8.RuneCount(normal(password))
	switch {
	case length == 0:
		e.Add(field, "password.required", "least", MinPassword)
	case length < MinPassword:
		e.Add(field, "password.too_short", "least", MinPassword, "length", length)
	case length > MaxPassword:
		e.Add(field, "field.too_long", "limit", MaxPassword, "length", length)
	case easy(password, context):
		e.Add(field, "password.too_easy")
	}
}

// easy reports whether the password is among those tried first. Lists of leaked
// passwords hold few with 15 characters or more, and those consist mostly of
// concatenated common words and runs, so easy looks for passwords made of
// nothing else.
func easy(password string, context []string) bool {
	word := squash(password)
	if distinct(word) < 5 || repeats(word) {
		return true
	}
	parts := append([]string{}, common...)
	for _, c := range context {
		parts = append(parts, squash(c))
		for _, piece := range strings.FieldsFunc(strings.ToLower(c), notWord) {
			parts = append(parts, squash(piece))
		}
	}
	return tiles(word, parts)
}

// squash reduces a text to what an attacker's rules do not vary: lower-case
// letters and digits, without accents, with the usual substitutes for letters
// undone.
func squash(text string) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(strings.ToLower(text)) {
		if s, ok := standIns[r]; ok {
			r = s
		}
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			b.WriteRune(r)
		}
	}
	return b.String()
}

var standIns = map[rune]rune{'@': 'a', '$': 's', '0': 'o', '3': 'e', '1': 'l', '!': 'l', '5': 's', '7': 't'}

func notWord(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }

func distinct(word string) int {
	seen := map[rune]bool{}
	for _, r := range word {
		seen[r] = true
	}
	return len(seen)
}

// repeats reports whether the word is a short piece repeated.
func repeats(word string) bool {
	for n := 1; n <= len(word)/2; n++ {
		if strings.HasPrefix(strings.Repeat(word[:n], len(word)/n+1), word) {
			return true
		}
	}
	return false
}

// maxLoose is how many characters outside common parts still leave a password
// easy, such as a year or a digit or two.
const maxLoose = 4

// tiles reports whether the word consists of the parts and runs, with few
// characters left over. best[i] is the smallest number of loose characters in
// the first i bytes.
func tiles(word string, parts []string) bool {
	best := make([]int, len(word)+1)
	for i := 1; i <= len(word); i++ {
		best[i] = best[i-1] + 1
		for _, p := range parts {
			if len(p) >= 3 && strings.HasSuffix(word[:i], p) {
				best[i] = min(best[i], best[i-len(p)])
			}
		}
		for n := 4; n <= i && run(word[i-n:i]); n++ {
			best[i] = min(best[i], best[i-n])
		}
	}
	return best[len(word)] <= maxLoose
}

// rows are keyboard rows and alphabet runs, after squash.
var rows = []string{
	"abcdefghijklmnopqrstuvwxyz", "qwertyuiop", "asdfghjkl", "zxcvbnm", "qwertzuiop", "azertyuiop",
	squash("1234567890"), squash("0123456789"), "qazwsxedcrfvtgbyhnujmikolp", squash("1q2w3e4r5t6y7u8i9o0p"), squash("147258369"),
}

func run(piece string) bool {
	for _, row := range rows {
		if strings.Contains(row, piece) || strings.Contains(backwards(row), piece) {
			return true
		}
	}
	return strings.Count(piece, piece[:1]) == len(piece)
}

func backwards(s string) string {
	b := []byte(s)
	for i, j := 0, len(b)-1; i < j; i, j = i+1, j-1 {
		b[i], b[j] = b[j], b[i]
	}
	return string(b)
}

// common lists words that are frequent in leaked passwords (common knowledge;
// no list was copied), and words suggested by this application.
var common = squashed(`password passwort passwd pass word secret letmein welcome login signin admin administrator
	root user guest master access default change changeme test testing hello iloveyou love you princess prinzessin
	dragon monkey sunshine football baseball superman batman shadow summer winter spring autumn monday friday january
	december football soccer computer internet google facebook whatever trustno freedom flower michael jessica
	charlie jordan daniel ashley thomas correct horse battery staple this that the my and for is not new please
	newel clinic family families child children kids learner teach teacher therapy therapist autism supervisor
	caregiver session program health care center centre hospital demo`)

func squashed(list string) []string {
	words := strings.Fields(list)
	for i, w := range words {
		words[i] = squash(w)
	}
	return words
}
