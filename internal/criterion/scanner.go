package criterion

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"newel/internal/exact"
)

// scanner reads a criterion's text word by word, ignoring case and runs of
// spaces. A failed match leaves the position unchanged.
type scanner struct {
	text string
	pos  int
}

func (s *scanner) skipSpace() {
	for {
		// At the end of the text this is utf8.RuneError, which is no space.
		r, size := utf8.DecodeRuneInString(s.text[s.pos:])
		if !unicode.IsSpace(r) {
			return
		}
		s.pos += size
	}
}

func (s *scanner) atEnd() bool {
	s.skipSpace()
	return s.pos == len(s.text)
}

// rest returns the unread text, for error messages.
func (s *scanner) rest() string {
	return strings.TrimSpace(s.text[s.pos:])
}

// atBoundary reports whether no letter or digit follows immediately.
func (s *scanner) atBoundary() bool {
	r, size := utf8.DecodeRuneInString(s.text[s.pos:])
	return size == 0 || !unicode.IsLetter(r) && !unicode.IsDigit(r)
}

// phrase reads the given words, which are lower case and separated by single
// spaces.
func (s *scanner) phrase(words string) bool {
	start := s.pos
	for word := range strings.SplitSeq(words, " ") {
		if !s.word(word) {
			s.pos = start
			return false
		}
	}
	return true
}

func (s *scanner) word(word string) bool {
	start := s.pos
	s.skipSpace()
	if s.pos+len(word) > len(s.text) || lowerASCII(s.text[s.pos:s.pos+len(word)]) != word {
		s.pos = start
		return false
	}
	s.pos += len(word)
	if !s.atBoundary() {
		s.pos = start
		return false
	}
	return true
}

func lowerASCII(s string) string {
	return strings.Map(func(r rune) rune {
		if 'A' <= r && r <= 'Z' {
			return r + 'a' - 'A'
		}
		return r
	}, s)
}

// sign reads one of the signs, skipping spaces before it.
func (s *scanner) sign(signs ...string) bool {
	start := s.pos
	s.skipSpace()
	for _, sign := range signs {
		if strings.HasPrefix(s.text[s.pos:], sign) {
			s.pos += len(sign)
			return true
		}
	}
	s.pos = start
	return false
}

// maxPlaces is the maximum number of decimal places in a criterion's numbers.
const maxPlaces = 6

// number is a decimal as written.
type number struct {
	text  string
	value exact.Rat
	err   error
}

// number reads a run of digits and points. found is false if there is none. The
// result may still be invalid; its err says so.
func (s *scanner) number() (n number, found bool) {
	start := s.pos
	s.skipSpace()
	from := s.pos
	for s.pos < len(s.text) && (s.text[s.pos] == '.' || '0' <= s.text[s.pos] && s.text[s.pos] <= '9') {
		s.pos++
	}
	if s.pos == from {
		s.pos = start
		return number{}, false
	}
	n.text = s.text[from:s.pos]
	n.value, n.err = exact.ParseDecimal(n.text, maxPlaces)
	return n, true
}

// whole returns the number as an int. ok is false if it has a decimal point or
// more than nine digits.
func (n number) whole() (i int, ok bool) {
	v, isInt := n.value.Int64()
	if n.err != nil || !isInt || strings.Contains(n.text, ".") || v > 999_999_999 {
		return 0, false
	}
	return int(v), true
}

// level reads one help level of the list, ignoring case. same reports whether
// the case matches exactly.
func (s *scanner) level(level string) (same, ok bool) {
	start := s.pos
	s.skipSpace()
	from := s.pos
	for word := range strings.FieldsSeq(level) {
		before := s.pos
		s.skipSpace()
		end, matches := foldedPrefix(s.text[s.pos:], word)
		if !matches || before > from && s.pos == before {
			s.pos = start
			return false, false
		}
		s.pos += end
	}
	if s.pos == from || !s.atBoundary() {
		s.pos = start
		return false, false
	}
	return s.text[from:s.pos] == strings.TrimSpace(level), true
}

// foldedPrefix returns the length of the prefix of text that equals word under
// case folding. ok is false if there is none.
func foldedPrefix(text, word string) (end int, ok bool) {
	for range utf8.RuneCountInString(word) {
		_, size := utf8.DecodeRuneInString(text[end:])
		end += size
	}
	return end, strings.EqualFold(text[:end], word)
}
