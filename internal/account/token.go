package account

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
)

// tokenBytes gives a token 256 bits: nobody guesses it, so its hash needs no
// salt and no slowness.
const tokenBytes = 32

// NewToken makes the secret of a link or of a bound browser: 43 characters
// that may stand in a path.
func NewToken() string {
	var b [tokenBytes]byte
	_, _ = rand.Read(b[:]) // never fails: crypto/rand ends the program instead
	return base64.RawURLEncoding.EncodeToString(b[:])
}

// TokenHash is what is stored of a token: SHA-256 in hex.
func TokenHash(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// DeviceToken is the secret of the browser that sent one form with one link.
// It follows from both, so that the same form sent twice binds one browser
// once; whoever holds only the link cannot compute it.
func DeviceToken(link, form string) string {
	sum := sha256.Sum256([]byte("device\x00" + link + "\x00" + form))
	return base64.RawURLEncoding.EncodeToString(sum[:])
}
