package account

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"golang.org/x/crypto/argon2"

	"newel/internal/newel"
)

func quick() *Hasher { return NewHasher(Cost{Memory: 64, Passes: 1, Threads: 1}) }

func TestHash(t *testing.T) {
	t.Parallel()
	ctx, h := context.Background(), quick()
	const password = "walnut ladder quiet harbour"
	hash, err := h.Hash(ctx, password)
	if err != nil {
		t.Fatal(err)
	}
	if again, _ := h.Hash(ctx, password); again == hash {
		t.Error("two hashes of one password are the same: no salt")
	}
	for typed, want := range map[string]bool{password: true, password + " ": false, "": false, "Walnut ladder quiet harbour": false} {
		if ok, _, err := h.Check(ctx, hash, typed); ok != want || err != nil {
			t.Errorf("Check(%q) = %v, %v", typed, ok, err)
		}
	}
	if ok, _, err := h.Check(ctx, "", ""); ok || err != nil {
		t.Errorf("an empty password without an account: %v, %v", ok, err)
	}
}

// TestHashIsAPHCString: the string follows the PHC format for Argon2 and
// contains what Argon2 computes for its parameters, recomputed here.
func TestHashIsAPHCString(t *testing.T) {
	t.Parallel()
	hash, err := NewHasher(DefaultCost).Hash(context.Background(), "pass\u00e9")
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(hash, "$")
	if len(parts) != 6 || parts[1] != "argon2id" || parts[2] != "v=19" || parts[3] != "m=19456,t=2,p=1" {
		t.Fatalf("hash %q", hash)
	}
	salt, err := base64.RawStdEncoding.DecodeString(parts[4])
	if err != nil || len(salt) != 16 {
		t.Fatalf("salt %q: %v", parts[4], err)
	}
	want := base64.RawStdEncoding.EncodeToString(argon2.IDKey([]byte("passé"), salt, 2, 19456, 1, 32))
	if parts[5] != want {
		t.Errorf("tag %s, want %s", parts[5], want)
	}
}

func TestHashIgnoresUnicodeComposition(t *testing.T) {
	t.Parallel()
	ctx, h := context.Background(), quick()
	hash, err := h.Hash(ctx, "e\u0301tude ｗｉｄｅ")
	if err != nil {
		t.Fatal(err)
	}
	if ok, _, _ := h.Check(ctx, hash, "étude wide"); !ok {
		t.Error("the same characters in a different composition do not match")
	}
}

// An unknown person costs the same work as a known one: Check waits for its turn
// to hash even if there is no hash to compare with.
func TestCheckHashesForUnknownPeople(t *testing.T) {
	t.Parallel()
	h := quick()
	if cost, _, _, err := decode(h.empty); err != nil || cost != h.cost {
		t.Errorf("the hash for unknown people costs %+v, %v; want %+v", cost, err, h.cost)
	}
	known, err := h.Hash(context.Background(), "x")
	if err != nil {
		t.Fatal(err)
	}
	for range maxAtOnce {
		h.slots <- struct{}{}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for name, hash := range map[string]string{"known": known, "unknown": ""} {
		if _, _, err := h.Check(ctx, hash, "y"); !errors.Is(err, context.Canceled) {
			t.Errorf("%s: %v, want to wait for a turn", name, err)
		}
	}
}

func TestOutdated(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	hash, err := quick().Hash(ctx, "x")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		cost Cost
		want bool
	}{
		{Cost{64, 1, 1}, false},
		{Cost{128, 1, 1}, true},
		{Cost{64, 2, 1}, true},
		{Cost{32, 1, 1}, false},
	} {
		if _, outdated, err := NewHasher(c.cost).Check(ctx, hash, "x"); outdated != c.want || err != nil {
			t.Errorf("%+v: outdated %v, %v", c.cost, outdated, err)
		}
	}
	if _, outdated, _ := NewHasher(DefaultCost).Check(ctx, hash, "wrong"); outdated {
		t.Error("a wrong password is reported as outdated")
	}
}

func TestDamagedHashes(t *testing.T) {
	t.Parallel()
	for _, hash := range []string{
		"x", "$argon2i$v=19$m=64,t=1,p=1$AAAAAAAAAAAAAAAAAAAAAA$AAAAAAAAAAAAAAAAAAAAAA", "$argon2id$v=18$m=64,t=1,p=1$AAAA$AAAAAAAAAAAAAAAAAAAAAA",
		"$argon2id$v=19$m=4294967295,t=1,p=1$AAAA$AAAAAAAAAAAAAAAAAAAAAA", "$argon2id$v=19$m=64,t=0,p=1$AAAA$AAAAAAAAAAAAAAAAAAAAAA",
		"$argon2id$v=19$m=64,t=1,p=0$AAAA$AAAAAAAAAAAAAAAAAAAAAA", "$argon2id$v=19$m=64,t=1,p=1$AAAA$", "$argon2id$v=19$m=64,t=1,p=1$!$AAAA",
	} {
		if ok, _, err := quick().Check(context.Background(), hash, "x"); ok || !errors.Is(err, errHash) {
			t.Errorf("%s: %v, %v", hash, ok, err)
		}
	}
}

func TestHashingWaitsItsTurn(t *testing.T) {
	t.Parallel()
	h := quick()
	h.slots <- struct{}{}
	h.slots <- struct{}{}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := h.Hash(ctx, "x"); !errors.Is(err, context.Canceled) {
		t.Errorf("with every slot taken: %v", err)
	}
	<-h.slots
	if _, err := h.Hash(context.Background(), "x"); err != nil {
		t.Error(err)
	}
	h.queue.Store(maxWaiting)
	if _, err := h.Hash(context.Background(), "x"); !errors.Is(err, newel.ErrBusy) {
		t.Errorf("with too many waiting: %v", err)
	}
}

// NIST SP 800-63B-4, 3.1.1.2 (2025; from secondary sources): at least 15
// characters if the password is the only factor, at least 64 allowed, every
// code point one character, no composition rules.
func TestCheckPassword(t *testing.T) {
	t.Parallel()
	known := []string{"mara.vellinger@stairhouse.example", "Stair House", "Mara Vellinger"}
	for password, want := range map[string]string{
		"":                                "password.required",
		"walnut ladder ":                  "password.too_short", // 14
		"walnut ladder q":                 "",                   // 15
		strings.Repeat("łódź", 3) + "ab":  "password.too_short", // 14 code points in more bytes
		strings.Repeat("łódź", 3) + "abc": "",
		"长梯静港胡桃木海獭画篱笆吧":                                                    "password.too_short", // 13
		"长梯静港胡桃木海獭画篱笆吧好的":                                                  "",
		"e\u0301e\u0301e\u0301abcdwxyzqlm":                                 "password.too_short", // 17 as typed, 14 composed
		strings.Repeat("walnut ladder ", 5) + "quiet harbour seven otters": "",                   // 96
		strings.Repeat("ab cd ", 43):                                       "field.too_long",
		"aaaaaaaaaaaaaaaaaaaa":                                             "password.too_easy",
		"abcabcabcabcabcabc":                                               "password.too_easy",
		"walnutwalnutwalnut":                                               "password.too_easy",
		"passwordpassword":                                                 "password.too_easy",
		"P@ssw0rdP@ssw0rd1!":                                               "password.too_easy",
		"correct horse battery staple":                                     "password.too_easy",
		"1234567890123456":                                                 "password.too_easy",
		"qwertyuiopasdfgh":                                                 "password.too_easy",
		"abcdefghijklmnop2024":                                             "password.too_easy",
		"iloveyou my princess":                                             "password.too_easy",
		"newel newel clinic 2026":                                          "password.too_easy",
		"Mara Vellinger 2026":                                              "password.too_easy",
		"mara.vellinger@stairhouse.example":                                "password.too_easy",
		"StairHouseStairHouse1":                                            "password.too_easy",
		"a\xffbcdefghijklmnopqrst":                                         "field.not_text",
		"        spaces and such ok":                                       "",
		"\u202eany character at all":                                       "",
	} {
		e := &newel.Invalid{}
		CheckPassword(e, "password", password, known...)
		got := ""
		if len(e.Problems) > 0 {
			got = e.Problems[0].Key
		}
		if got != want {
			t.Errorf("%q: %q, want %q", password, got, want)
		}
	}
}

func TestTokens(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for range 1000 {
		token := NewToken()
		raw, err := base64.RawURLEncoding.DecodeString(token)
		if err != nil || len(raw) != 32 || seen[token] {
			t.Fatalf("token %q: %v", token, err)
		}
		seen[token] = true
	}
	// SHA-256 of "abc": FIPS 180-4, example in its annex, from memory.
	if got := TokenHash("abc"); got != "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" {
		t.Errorf("hash of abc is %s", got)
	}
	token := DeviceToken("a", "b")
	if token == DeviceToken("a", "c") || token == DeviceToken("c", "b") || token != DeviceToken("a", "b") {
		t.Error("a device token must depend on link and form only")
	}
}

func TestThrottle(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC)
	th := NewThrottle()
	for range freeHere {
		if wait := th.Wait("mara", "a", now); wait != 0 {
			t.Fatalf("a typing error waits %v", wait)
		}
		th.Failed("mara", "a", now)
	}
	for i, want := range []time.Duration{1, 2, 4, 8, 16, 32, 64, 128, 256, 300, 300} {
		if got := th.Wait("mara", "a", now); got != want*time.Second {
			t.Errorf("after %d failures more: %v, want %v", i, got, want*time.Second)
		}
		th.Failed("mara", "a", now)
	}
	if wait := th.Wait("mara", "b", now) + th.Wait("tomas", "a", now); wait != 0 {
		t.Errorf("another name waits %v", wait)
	}
	if wait := th.Wait("mara", "a", now.Add(5*time.Minute)); wait != 0 {
		t.Errorf("five minutes later: %v", wait)
	}
	th.Succeeded("mara", "a", now)
	if wait := th.Wait("mara", "a", now); wait != 0 {
		t.Errorf("after success: %v", wait)
	}
}

// TestThrottleCannotLockOut: an attacker with a thousand addresses is slowed to
// one attempt every five seconds, and a person who recently signed in from
// their own address is not slowed at all.
func TestThrottleCannotLockOut(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC)
	th := NewThrottle()
	th.Succeeded("mara", "desk", now)
	for i := range 1000 {
		th.Failed("mara", fmt.Sprint(i), now)
	}
	if got := th.Wait("mara", "new", now); got != waitAnywhere {
		t.Errorf("the attacker waits %v", got)
	}
	if got := th.Wait("mara", "desk", now); got != 0 {
		t.Errorf("the account's owner waits %v", got)
	}
	if got := th.Wait("mara", "new", now.Add(forgetAfter)); got != 0 {
		t.Errorf("half a day later: %v", got)
	}
}

func TestThrottleForgets(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC)
	th := NewThrottle()
	for i := range maxKept {
		th.Failed(fmt.Sprint(i), "a", now)
	}
	if n := len(th.tries); n > maxKept {
		t.Errorf("%d remembered", n)
	}
}

func TestThrottleByMany(t *testing.T) {
	t.Parallel()
	th := NewThrottle()
	var wg sync.WaitGroup
	for i := range 20 {
		wg.Go(func() {
			now := time.Unix(int64(i), 0)
			th.Failed("a", fmt.Sprint(i%3), now)
			th.Wait("a", "1", now)
			th.Succeeded("a", "2", now)
		})
	}
	wg.Wait()
}

func TestLabel(t *testing.T) {
	t.Parallel()
	for agent, want := range map[string]string{
		"Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/120.0.0.0 Mobile Safari/537.36":                            "Chrome on Android",
		"Mozilla/5.0 (Linux; Android 13; SM-A135F) AppleWebKit/537.36 (KHTML, like Gecko) SamsungBrowser/23.0 Chrome/115.0.0.0 Mobile Safari/537.36": "Samsung Internet on Android",
		"Mozilla/5.0 (iPhone; CPU iPhone OS 17_2 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.2 Mobile/15E148 Safari/604.1":    "Safari on iPhone",
		"Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/120.0.0.0 Safari/537.36 Edg/120.0.0.0":              "Edge on Windows",
		"Mozilla/5.0 (X11; Linux x86_64; rv:121.0) Gecko/20100101 Firefox/121.0":                                                                     "Firefox on Linux",
		"<script>alert(1)</script>": "Browser",
		"":                          "Browser",
	} {
		if got := Label(agent); got != want {
			t.Errorf("%s: %q, want %q", agent, got, want)
		}
	}
}
