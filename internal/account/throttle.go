package account

import (
	"sync"
	"time"
)

// Throttle slows guessing at a sign-in name. It counts failures for a name from
// one address and, with a much higher limit, for a name from any address. An
// address from which the name recently signed in is never blocked by failures
// from elsewhere, so an attacker cannot lock anyone out of their own desk. It
// is in memory only: after a restart, or in a second process, counting starts
// over.
type Throttle struct {
	mu    sync.Mutex
	tries map[string]*tries
}

type tries struct {
	failed int
	last   time.Time
	good   bool // signed in from here
}

const (
	freeHere     = 5   // free failures from one address: typing errors
	freeAnywhere = 100 // NIST SP 800-63B-4, 3.2.2 (from memory): no more than 100 in a row for one account
	firstWait    = time.Second
	longestWait  = 5 * time.Minute
	waitAnywhere = 5 * time.Second
	forgetAfter  = 12 * time.Hour
	maxKept      = 20_000 // names and addresses stored; beyond it the oldest are dropped
)

// NewThrottle returns an empty Throttle.
func NewThrottle() *Throttle { return &Throttle{tries: map[string]*tries{}} }

// Wait returns how long the address must wait before the name may be tried
// again; 0 means not at all.
func (t *Throttle) Wait(name, address string, now time.Time) time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	here, everywhere := t.get(name, address, now), t.get(name, "", now)
	wait := left(here, backOff(here.failed-freeHere), now)
	if !here.good && everywhere.failed >= freeAnywhere {
		wait = max(wait, left(everywhere, waitAnywhere, now))
	}
	return wait
}

// Failed records a failed attempt.
func (t *Throttle) Failed(name, address string, now time.Time) {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, a := range []string{address, ""} {
		e := t.get(name, a, now)
		e.failed++
		e.last = now
		t.tries[key(name, a)] = e
	}
	t.forget(now)
}

// Succeeded clears the failures from this address and trusts it from now on.
func (t *Throttle) Succeeded(name, address string, now time.Time) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.tries[key(name, address)] = &tries{last: now, good: true}
	t.forget(now)
}

func key(name, address string) string { return name + "\x00" + address }

func (t *Throttle) get(name, address string, now time.Time) *tries {
	if e, ok := t.tries[key(name, address)]; ok && now.Sub(e.last) < forgetAfter {
		return e
	}
	return &tries{}
}

// forget makes room by dropping old entries and, if that is not enough,
// arbitrary ones down to half the limit, so that it runs rarely.
func (t *Throttle) forget(now time.Time) {
	if len(t.tries) <= maxKept {
		return
	}
	for k, e := range t.tries {
		if now.Sub(e.last) >= forgetAfter {
			delete(t.tries, k)
		}
	}
	for k := range t.tries {
		if len(t.tries) <= maxKept/2 {
			return
		}
		delete(t.tries, k)
	}
}

// backOff returns a wait that doubles from firstWait with each failure beyond
// the free ones.
func backOff(beyond int) time.Duration {
	if beyond < 0 {
		return 0
	}
	if beyond > 16 {
		return longestWait
	}
	return min(firstWait<<beyond, longestWait)
}

func left(e *tries, wait time.Duration, now time.Time) time.Duration {
	return max(0, e.last.Add(wait).Sub(now))
}
