package newel

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"newel/internal/timezone"

	"golang.org/x/text/unicode/norm"
)

// Maximum lengths of entered text, in characters (code points).
const (
	MaxName = 80   // of people, families and steps
	MaxLine = 200  // one line
	MaxNote = 4000 // one or more paragraphs
)

// Text normalizes a person's input. It adds a problem with the field if the
// text is missing but required, longer than limit characters, or not valid
// text. All scripts, directions and emoji are allowed. Control characters other
// than line breaks are not, nor are invisible overrides that make text display
// differently from how it is stored.
func (e *Invalid) Text(field, value string, limit int, required bool) string {
	if !utf8.ValidString(value) {
		e.Add(field, "field.not_text")
		return strings.ToValidUTF8(value, "")
	}
	value = norm.NFC.String(strings.TrimSpace(strings.ReplaceAll(value, "\r\n", "\n")))
	switch {
	case value == "" && required:
		e.Add(field, "field.required")
	case utf8.RuneCountInString(value) > limit:
		e.Add(field, "field.too_long", "limit", limit, "length", utf8.RuneCountInString(value))
	case strings.ContainsFunc(value, forbidden):
		e.Add(field, "field.control_characters")
	}
	return value
}

// Line is Text for a single line: it also rejects line breaks.
func (e *Invalid) Line(field, value string, limit int, required bool) string {
	value = e.Text(field, value, limit, required)
	if strings.ContainsRune(value, '\n') {
		e.Add(field, "field.one_line")
	}
	return value
}

func forbidden(r rune) bool {
	switch {
	case r == '\n' || r == '\t':
		return false
	case unicode.IsControl(r):
		return true
	case r >= '\u202A' && r <= '\u202E', r >= '\u2066' && r <= '\u2069':
		return true
	}
	return false
}

// TimeZone checks an IANA zone name.
func (e *Invalid) TimeZone(field, value string) string {
	value = strings.TrimSpace(value)
	if _, err := timezone.Load(value); err != nil {
		e.Add(field, "field.time_zone", "example", "Asia/Kuala_Lumpur")
	}
	return value
}
