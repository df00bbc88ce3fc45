package recording_test

import (
	"bytes"
	"crypto/ecdh"
	"crypto/rand"
	"encoding/base64"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"newel/internal/fixture/phone"
	"newel/internal/newel"
	"newel/internal/recording"
)

func TestSealed(t *testing.T) {
	t.Parallel()
	key, other := newKey(t), newKey(t)
	plain := []byte(`{"nickname":"never in the open"}`)
	sealed := phone.Seal(t, sealKey(key), newel.NewID[newel.RecordingID](), plain)
	body, err := json.Marshal(sealed)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(body, []byte("nickname")) {
		t.Error("the sealed document is readable")
	}
	read, err := recording.DecodeSealed(body)
	if err != nil || read != sealed {
		t.Fatalf("read %+v, %v", read, err)
	}
	if got, err := read.Open(key); err != nil || !bytes.Equal(got, plain) {
		t.Errorf("opened to %s, %v", got, err)
	}
	for name, c := range map[string]struct {
		change func(*recording.Sealed)
		key    *ecdh.PrivateKey
		at     string
	}{
		"a different key":       {func(*recording.Sealed) {}, other, "data"},
		"a different recording": {func(s *recording.Sealed) { s.ID = newel.NewID[newel.RecordingID]() }, key, "data"},
		"a changed byte":        {func(s *recording.Sealed) { s.Data = "A" + s.Data[1:] }, key, "data"},
		"cut off":               {func(s *recording.Sealed) { s.Data = s.Data[:8] }, key, "data"},
		"no point":              {func(s *recording.Sealed) { s.EPK = "AAAA" }, key, "epk"},
		"a short nonce":         {func(s *recording.Sealed) { s.IV = "AAAA" }, key, "iv"},
	} {
		bad := sealed
		c.change(&bad)
		var invalid *recording.InvalidError
		if got, err := bad.Open(c.key); err == nil && string(got) == string(plain) && name == "a changed byte" {
			continue // the byte was an A before
		} else if !errors.As(err, &invalid) || invalid.Path != c.at {
			t.Errorf("%s: %s, %v", name, got, err)
		}
	}
}

func newKey(t *testing.T) *ecdh.PrivateKey {
	t.Helper()
	key, err := ecdh.P256().GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	return key
}

func TestSealedForm(t *testing.T) {
	t.Parallel()
	good := `{"contract":1,"id":"0195a0c4-7b1e-7c3a-9d52-3f6f0a1b2c00","key":"0195a0c4-0000-7000-8000-000000000001","epk":"BA","iv":"AA","data":"AA"}`
	if _, err := recording.DecodeSealed([]byte(good)); err != nil {
		t.Fatal(err)
	}
	for from, to := range map[string]string{
		`"contract":1`: `"contract":3`, `"iv"`: `"nonce"`, `"BA"`: `"B="`, `"AA"`: `""`, `"0195a0c4-7b1e-7c3a`: `"0195a0c4-7b1e-4c3a`,
	} {
		if _, err := recording.DecodeSealed([]byte(strings.Replace(good, from, to, 1))); err == nil {
			t.Errorf("%s is accepted in place of %s", to, from)
		}
	}
	var large *recording.TooLargeError
	if _, err := recording.DecodeSealed(make([]byte, recording.MaxSealed+1)); !errors.As(err, &large) {
		t.Errorf("too large: %v", err)
	}
}

// TestSealedByABrowser opens a document sealed by another implementation: the
// Web Crypto of Node 20, with the calls of docs/phone.md.
func TestSealedByABrowser(t *testing.T) {
	t.Parallel()
	const private = "6CZeaE7Nw4PfIxV9HA-ykHMBEL9EdxcmIIseq3NHm9I"
	sealed, err := recording.DecodeSealed([]byte(`{"contract":1,"id":"0195a0c4-7b1e-7c3a-9d52-3f6f0a1b2c00","key":"0195a0c4-0000-7000-8000-000000000001",` +
		`"epk":"BLARsVu0rxZTkb_Z3HX1AusecbpjEZsV6y-knZM7ELhcufJv1uPuyBXcM4lmsLee8dNWXw5DVfXNz4VUYOQYBcU","iv":"iPSitYqOxVkjScm4",` +
		`"data":"SLeAKX8skaPjdwghb__UFrtK7FiZ-xj7GnFUDmZLcF_hfENkp9iPjXwGY6-fnd-qENGfqA"}`))
	if err != nil {
		t.Fatal(err)
	}
	scalar, err := base64.RawURLEncoding.DecodeString(private)
	if err != nil {
		t.Fatal(err)
	}
	key, err := ecdh.P256().NewPrivateKey(scalar)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := sealed.Open(key); err != nil || string(got) != `{"made":"in a browser's Web Crypto"}` {
		t.Errorf("opened to %q, %v", got, err)
	}
}

// sealKey is the public half of a key as the server tells it to phones.
func sealKey(key *ecdh.PrivateKey) newel.SealKey {
	b64, point := base64.RawURLEncoding.EncodeToString, key.PublicKey().Bytes()
	return newel.SealKey{KeyID: newel.NewID[newel.PhoneKeyID]().String(), X: b64(point[1:33]), Y: b64(point[33:])}
}
