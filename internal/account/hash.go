package account

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"sync/atomic"

	"golang.org/x/crypto/argon2"
	"golang.org/x/text/unicode/norm"

	"newel/internal/newel"
)

// Cost is the amount of work for one hash.
type Cost struct {
	Memory  uint32 // KiB
	Passes  uint32
	Threads uint8
}

// DefaultCost is the minimum that the OWASP Password Storage Cheat Sheet
// recommends for Argon2id: 19 MiB, two passes, one thread (the sheet itself was
// not available; the figures are as several libraries quote it).
var DefaultCost = Cost{Memory: 19 * 1024, Passes: 2, Threads: 1}

// Salt and tag lengths recommended by RFC 9106, sections 3.1 and 4 (from
// memory): 128 and 256 bits.
const (
	saltBytes = 16
	tagBytes  = 32
)

// maxAtOnce limits concurrent hashing, so that a flood of sign-ins cannot
// exhaust memory and processors.
const maxAtOnce = 2

// maxWaiting limits how many requests wait for their turn; at about 50 ms per
// hash the last one waits two seconds. Further requests get newel.ErrBusy.
const maxWaiting = 80

// Hasher hashes and checks passwords with Argon2id. It is safe for concurrent
// use.
type Hasher struct {
	cost  Cost
	slots chan struct{}
	empty string // the hash of an empty password, checked if there is no account
	queue atomic.Int64
}

// NewHasher returns a Hasher that spends the given cost on new hashes.
func NewHasher(cost Cost) *Hasher {
	h := &Hasher{cost: cost, slots: make(chan struct{}, maxAtOnce)}
	h.empty = encode(cost, make([]byte, saltBytes), make([]byte, tagBytes))
	return h
}

// Hash returns the PHC string of a password. It returns the error of ctx if the
// context ended while waiting, or newel.ErrBusy if too many requests are
// waiting.
func (h *Hasher) Hash(ctx context.Context, password string) (string, error) {
	salt := make([]byte, saltBytes)
	_, _ = rand.Read(salt)
	tag, err := h.derive(ctx, h.cost, password, salt, tagBytes)
	if err != nil {
		return "", err
	}
	return encode(h.cost, salt, tag), nil
}

// Check reports whether the password matches the hash, and whether the hash is
// outdated because it was made with less than the current cost. An empty hash
// (unknown person, or no password yet) costs the same work and never matches.
func (h *Hasher) Check(ctx context.Context, hash, password string) (ok, outdated bool, err error) {
	known := hash != ""
	if !known {
		hash = h.empty
	}
	cost, salt, tag, err := decode(hash)
	if err != nil {
		return false, false, err
	}
	got, err := h.derive(ctx, cost, password, salt, uint32(len(tag)))
	if err != nil {
		return false, false, err
	}
	ok = subtle.ConstantTimeCompare(got, tag) == 1 && known
	return ok, ok && cost.below(h.cost), nil
}

func (h *Hasher) derive(ctx context.Context, c Cost, password string, salt []byte, length uint32) ([]byte, error) {
	defer h.queue.Add(-1)
	if h.queue.Add(1) > maxWaiting {
		return nil, fmt.Errorf("waiting to hash: %w", newel.ErrBusy)
	}
	select {
	case h.slots <- struct{}{}:
	case <-ctx.Done():
		return nil, fmt.Errorf("waiting to hash: %w", ctx.Err())
	}
	defer func() { <-h.slots }()
	return argon2.IDKey(normal(password), salt, c.Passes, c.Memory, c.Threads, length), nil
}

// normal maps equal characters to equal bytes, however a keyboard composed them
// (NIST SP 800-63B-4, 3.1.1.2: normalize before hashing).
func normal(password string) []byte { return norm.NFKC.Bytes([]byte(password)) }

func (c Cost) below(want Cost) bool {
	return c.Memory < want.Memory || c.Passes < want.Passes || c.Threads < want.Threads
}

var errHash = errors.New("not a password hash in Newel's format")

// encode returns the PHC string format: $argon2id$v=19$m=19456,t=2,p=1$salt$tag
func encode(c Cost, salt, tag []byte) string {
	b64 := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, c.Memory, c.Passes, c.Threads,
		b64.EncodeToString(salt), b64.EncodeToString(tag))
}

func decode(hash string) (c Cost, salt, tag []byte, err error) {
	parts := strings.Split(hash, "$")
	if len(parts) != 6 || parts[0] != "" || parts[1] != "argon2id" || parts[2] != fmt.Sprintf("v=%d", argon2.Version) {
		return c, nil, nil, errHash
	}
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &c.Memory, &c.Passes, &c.Threads); err != nil || !c.sane() {
		return c, nil, nil, errHash
	}
	salt, err = base64.RawStdEncoding.DecodeString(parts[4])
	if err != nil {
		return c, nil, nil, errHash
	}
	tag, err = base64.RawStdEncoding.DecodeString(parts[5])
	if err != nil || len(tag) < saltBytes {
		return c, nil, nil, errHash
	}
	return c, salt, tag, nil
}

// sane rejects a damaged hash whose cost would exhaust memory.
func (c Cost) sane() bool {
	return c.Passes >= 1 && c.Passes <= 16 && c.Threads >= 1 && c.Memory >= 8*uint32(c.Threads) && c.Memory <= 1<<20
}
