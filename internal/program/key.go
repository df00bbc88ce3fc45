package program

import (
	"crypto/rand"
	"regexp"
)

// keyAlphabet omits vowels and similar-looking characters: a key never forms a
// word and can be read aloud.
const keyAlphabet = "23456789bcdfghjkmnpqrstvwxz"

// keyLength makes collisions within one program practically impossible (27⁸ is
// more than 10¹¹), so that a key is never reused.
const keyLength = 8

// NewKey returns a new key for a step, strand, target or prerequisite. A key is
// permanent, even if its owner is renamed or moved.
func NewKey() string {
	b := make([]byte, keyLength)
	_, _ = rand.Read(b) // never returns an error
	for i := range b {
		b[i] = keyAlphabet[int(b[i])%len(keyAlphabet)]
	}
	return string(b)
}

var keyForm = regexp.MustCompile(`^[0-9a-z]{1,16}$`)

// KnownKey reports whether the text is a well-formed key.
func KnownKey(text string) bool { return keyForm.MatchString(text) }
