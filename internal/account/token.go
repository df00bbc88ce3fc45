package account

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
)

// tokenBytes makes a token 256 bits long. It cannot be guessed, so its hash
// needs neither salt nor a slow algorithm.
const tokenBytes = 32

// NewToken returns a secret for a link or a linked browser: 43 characters that
// are valid in a path.
func NewToken() string {
	var b [tokenBytes]byte
	_, _ = rand.Read(b[:]) // never returns an error: crypto/rand ends the program instead
	return base64.RawURLEncoding.EncodeToString(b[:])
}

// TokenHash returns what is stored of a token: its SHA-256 in hex.
func TokenHash(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// DeviceToken returns the secret of the browser that submitted one form of one
// link. It depends on both, so that submitting the same form twice links the
// browser once, and the link alone is not enough to compute it.
func DeviceToken(link, form string) string {
	sum := sha256.Sum256([]byte("device\x00" + link + "\x00" + form))
	return base64.RawURLEncoding.EncodeToString(sum[:])
}
