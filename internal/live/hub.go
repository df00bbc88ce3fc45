// Package live knows who watches what: pages that are open wait here for word
// that something they show has changed. It carries ids only; what changed is
// read anew by whoever may see it.
package live

import (
	"errors"
	"slices"
	"strings"
	"sync"

	"newel/internal/newel"
)

// Change says that something of an assignment has changed: a reading, a
// decision, whether it rests.
type Change struct {
	Clinic     newel.ClinicID
	Family     newel.FamilyID
	Assignment newel.AssignmentID
}

// errChange is a notification that is none of ours.
var errChange = errors.New("not a change: want three ids with spaces between")

// ParseChange reads a change as the database writes it: the ids of clinic,
// family and assignment with spaces between.
func ParseChange(text string) (c Change, err error) {
	parts := strings.Split(text, " ")
	if len(parts) != 3 {
		return c, errChange
	}
	clinic, err1 := newel.ParseID[newel.ClinicID](parts[0])
	family, err2 := newel.ParseID[newel.FamilyID](parts[1])
	assignment, err3 := newel.ParseID[newel.AssignmentID](parts[2])
	if errors.Join(err1, err2, err3) != nil {
		return Change{}, errChange
	}
	return Change{clinic, family, assignment}, nil
}

// Interest is what a page shows, and to whom.
type Interest struct {
	Account    newel.AccountID // zero: nobody in particular
	Clinic     newel.ClinicID
	Families   []newel.FamilyID   // nil: every family of the clinic
	Assignment newel.AssignmentID // zero: every one
}

func (i Interest) concerns(c Change) bool {
	return i.Clinic == c.Clinic && (i.Families == nil || slices.Contains(i.Families, c.Family)) &&
		(i.Assignment.IsZero() || i.Assignment == c.Assignment)
}

// Hub passes changes on to the pages that watch. Its methods may be called at
// the same time.
type Hub struct {
	mu       sync.Mutex
	watchers map[*Watcher]struct{}
	open     map[newel.AccountID]int // pages of each account
	closed   bool
}

// New makes a Hub.
func New() *Hub {
	return &Hub{watchers: map[*Watcher]struct{}{}, open: map[newel.AccountID]int{}}
}

// MostPages is how many pages of one account may watch at once. A page that
// nobody can see does not watch, so that a person has a few; this keeps one
// account from holding every line of a server open.
const MostPages = 12

// Why a page may not watch.
var (
	ErrClosed = errors.New("the hub has closed")
	ErrFull   = errors.New("the account has as many pages open as may watch at once")
)

// Watcher is one page that is open.
type Watcher struct {
	interest Interest
	changed  chan struct{} // holds one: several changes before it is read are one
	hub      *Hub
}

// Watch begins to watch; ErrClosed or ErrFull if it may not. Leave must be
// called.
func (h *Hub) Watch(i Interest) (*Watcher, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	switch {
	case h.closed:
		return nil, ErrClosed
	case !i.Account.IsZero() && h.open[i.Account] >= MostPages:
		return nil, ErrFull
	}
	h.open[i.Account]++
	w := &Watcher{interest: i, changed: make(chan struct{}, 1), hub: h}
	h.watchers[w] = struct{}{}
	return w, nil
}

// Changed receives when something has changed, and is closed with the hub.
func (w *Watcher) Changed() <-chan struct{} { return w.changed }

// Leave ends watching; once more is nothing.
func (w *Watcher) Leave() {
	h, who := w.hub, w.interest.Account
	h.mu.Lock()
	defer h.mu.Unlock()
	if _, watches := h.watchers[w]; !watches {
		return
	}
	delete(h.watchers, w)
	if h.open[who]--; h.open[who] == 0 {
		delete(h.open, who)
	}
}

// Publish tells whoever is concerned.
func (h *Hub) Publish(c Change) { h.tell(func(i Interest) bool { return i.concerns(c) }) }

// Missed tells everybody: changes may have been missed.
func (h *Hub) Missed() { h.tell(func(Interest) bool { return true }) }

func (h *Hub) tell(concerned func(Interest) bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for w := range h.watchers {
		if !h.closed && concerned(w.interest) {
			select {
			case w.changed <- struct{}{}:
			default: // it has not yet looked at the one before
			}
		}
	}
}

// Close ends all watching, so that a server that stops need not wait for
// pages that are open.
func (h *Hub) Close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return
	}
	h.closed = true
	for w := range h.watchers {
		close(w.changed)
	}
}
