package account

import (
	"sync"
	"time"
)

// Throttle slows guessing at one sign-in name. It counts failures for a name
// from one address, and, far more patiently, for a name from anywhere. An
// address from which the name was signed in to lately is never stopped by
// the failures of others: a stranger cannot lock anybody out of their own
// desk. It lives in memory: after a restart, or in a second process, counting
// begins anew.
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
	freeHere     = 5   // failures from one address that cost nothing: slips of the finger
	freeAnywhere = 100 // NIST SP 800-63B-4, 3.2.2 (from memory): no more than 100 in a row for one account
	firstWait    = time.Second
	longestWait  = 5 * time.Minute
	waitAnywhere = 5 * time.Second
	forgetAfter  = 12 * time.Hour
	maxKept      = 20_000 // names and addresses remembered; beyond it the old are forgotten
)

// NewThrottle makes a Throttle that knows of no failure.
func NewThrottle() *Throttle { return &Throttle{tries: map[string]*tries{}} }

// Wait says how long somebody at the address must wait before the name may be
// tried again; 0 is now.
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

// Failed notes a failed try.
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

// Succeeded forgets the failures from this address and trusts it from now on.
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

// forget makes room: what is too old to matter, and if that is not enough,
// anything, down to half, so that it is rarely done.
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

// backOff doubles from firstWait with each failure beyond the free ones.
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
