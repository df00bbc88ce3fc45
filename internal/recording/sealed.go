package recording

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/ecdh"
	"crypto/hkdf"
	"crypto/sha256"
	"encoding/base64"
	"fmt"

	"newel/internal/newel"
)

// SealedMediaType is the media type of a document that only the server can
// read.
const SealedMediaType = "application/vnd.newel.sealed+json"

// MaxSealed is the maximum size of a sealed body in bytes: the largest document
// in base64 plus overhead.
const MaxSealed = 360_000

// sealInfo binds the derived key to this purpose and format.
const sealInfo = "newel-sealed-1"

// Sealed is a document that a phone stores while its author is signed out:
// encrypted to the server so that no other user of the phone can read it. ECDH
// on P-256 with an ephemeral key, HKDF-SHA-256 (RFC 5869), AES-256-GCM.
type Sealed struct {
	Contract int               `json:"contract"`
	ID       newel.RecordingID `json:"id"`
	Key      newel.PhoneKeyID  `json:"key"`  // id of the server's key
	EPK      string            `json:"epk"`  // ephemeral public key, raw point, base64url
	IV       string            `json:"iv"`   // 12 bytes, base64url
	Data     string            `json:"data"` // cipher text and tag, base64url
}

// DecodeSealed parses a sealed document without decrypting it.
func DecodeSealed(body []byte) (Sealed, error) {
	if len(body) > MaxSealed {
		return Sealed{}, &TooLargeError{len(body), MaxSealed}
	}
	root, err := parse(body)
	if err != nil {
		return Sealed{}, err
	}
	o, err := root.object()
	if err != nil {
		return Sealed{}, err
	}
	var s Sealed
	var d Document
	if err := readContract(o, &d); err != nil {
		return s, err
	}
	s.Contract = d.Contract
	if s.ID, err = readNeeded(o, "id", readRecordingID); err != nil {
		return s, err
	}
	if s.Key, err = readNeeded(o, "key", readID[newel.PhoneKeyID]); err != nil {
		return s, err
	}
	if s.EPK, err = readNeeded(o, "epk", readBase64); err != nil {
		return s, err
	}
	if s.IV, err = readNeeded(o, "iv", readBase64); err != nil {
		return s, err
	}
	if s.Data, err = readNeeded(o, "data", readBase64); err != nil {
		return s, err
	}
	return s, o.done()
}

func readBase64(n node) (string, error) {
	s, ok := n.value.(string)
	if _, err := base64.RawURLEncoding.DecodeString(s); !ok || err != nil || s == "" {
		return "", n.fail("must be base64url without padding")
	}
	return s, nil
}

// UnknownKey returns the error for a document sealed with a key that the server
// does not have.
func UnknownKey() error {
	return &InvalidError{Path: "key", Problem: "this server has no such key"}
}

// Open returns the decrypted document. An error it returns is an *InvalidError.
func (s Sealed) Open(key *ecdh.PrivateKey) ([]byte, error) {
	aead, iv, data, err := s.parts(key)
	if err != nil {
		return nil, err
	}
	body, err := aead.Open(nil, iv, data, []byte(s.ID.String()))
	if err != nil {
		return nil, &InvalidError{Path: "data", Problem: "cannot be decrypted: it was sealed for another key or id, or damaged"}
	}
	return body, nil
}

func (s Sealed) parts(key *ecdh.PrivateKey) (aead cipher.AEAD, iv, data []byte, err error) {
	epk, _ := base64.RawURLEncoding.DecodeString(s.EPK)
	ephemeral, err := key.Curve().NewPublicKey(epk)
	if err != nil {
		return nil, nil, nil, &InvalidError{Path: "epk", Problem: "must be an uncompressed point of P-256"}
	}
	shared, err := key.ECDH(ephemeral)
	if err != nil {
		return nil, nil, nil, &InvalidError{Path: "epk", Problem: err.Error()}
	}
	iv, _ = base64.RawURLEncoding.DecodeString(s.IV)
	data, _ = base64.RawURLEncoding.DecodeString(s.Data)
	if aead, err = sealCipher(shared, epk); err != nil {
		return nil, nil, nil, err
	}
	if len(iv) != aead.NonceSize() {
		return nil, nil, nil, &InvalidError{Path: "iv", Problem: "must be 12 bytes"}
	}
	return aead, iv, data, nil
}

func sealCipher(shared, epk []byte) (cipher.AEAD, error) {
	derived, err := hkdf.Key(sha256.New, shared, epk, sealInfo, 32)
	if err != nil {
		return nil, fmt.Errorf("derive sealing key: %w", err)
	}
	block, err := aes.NewCipher(derived)
	if err != nil {
		return nil, fmt.Errorf("sealing cipher: %w", err)
	}
	return cipher.NewGCM(block)
}
