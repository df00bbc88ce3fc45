package program

import (
	"crypto/rand"
	"regexp"
)

// keyAlphabet leaves out vowels and characters that look alike: a key is no
// word, and can be read aloud.
const keyAlphabet = "23456789bcdfghjkmnpqrstvwxz"

// keyLength makes two equal keys in one program practically impossible
// (27⁸ is more than 10¹¹), so that a key is never used again.
const keyLength = 8

// NewKey makes a key for a step, strand, target or prerequisite. A key stays
// with its thing for good, whatever it is called and wherever it moves.
func NewKey() string {
	b := make([]byte, keyLength)
	_, _ = rand.Read(b) // never fails
	for i := range b {
		b[i] = keyAlphabet[int(b[i])%len(keyAlphabet)]
	}
	return string(b)
}

var keyForm = regexp.MustCompile(`^[0-9a-z]{1,16}$`)

// KnownKey reports whether the text has the form of a key.
func KnownKey(text string) bool { return keyForm.MatchString(text) }
