// Package live notifies open pages that something they show has changed. It
// carries ids only; each page reloads the data with its own permissions.
package live

import (
	"errors"
	"slices"
	"strings"
	"sync"

	"newel/internal/newel"
)

// Change reports that something about an assignment has changed: a reading, a
// decision, whether it is paused.
type Change struct {
	Clinic     newel.ClinicID
	Family     newel.FamilyID
	Assignment newel.AssignmentID
}

// errChange reports a notification in an unknown format.
var errChange = errors.New("not a change: want three ids separated by spaces")

// ParseChange parses a change as the database writes it: the ids of clinic,
// family and assignment, separated by spaces.
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
	Account    newel.AccountID // zero if unknown
	Clinic     newel.ClinicID
	Families   []newel.FamilyID   // nil: every family of the clinic
	Assignment newel.AssignmentID // zero: every assignment
}

func (i Interest) concerns(c Change) bool {
	return i.Clinic == c.Clinic && (i.Families == nil || slices.Contains(i.Families, c.Family)) &&
		(i.Assignment.IsZero() || i.Assignment == c.Assignment)
}

// Hub forwards changes to the pages that watch. Its methods are safe for
// concurrent use.
type Hub struct {
	mu       sync.Mutex
	watchers map[*Watcher]struct{}
	open     map[newel.AccountID]int // number of pages of each account
	closed   bool
}

// New returns an empty Hub.
func New() *Hub {
	return &Hub{watchers: map[*Watcher]struct{}{}, open: map[newel.AccountID]int{}}
}

// MaxPages is how many pages of one account may watch at once. Hidden pages do
// not watch, so a person needs only a few; the limit keeps one account from
// exhausting the server's connections.
const MaxPages = 12

// Reasons why a page may not watch.
var (
	ErrClosed = errors.New("the hub has closed")
	ErrFull   = errors.New("the account has reached its limit of watching pages")
)

// Watcher is one open page.
type Watcher struct {
	interest Interest
	changed  chan struct{} // capacity one: several changes before it is read count as one
	hub      *Hub
}

// Watch starts watching. It returns ErrClosed or ErrFull if the page may not
// watch. The caller must call Leave.
func (h *Hub) Watch(i Interest) (*Watcher, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	switch {
	case h.closed:
		return nil, ErrClosed
	case !i.Account.IsZero() && h.open[i.Account] >= MaxPages:
		return nil, ErrFull
	}
	h.open[i.Account]++
	w := &Watcher{interest: i, changed: make(chan struct{}, 1), hub: h}
	h.watchers[w] = struct{}{}
	return w, nil
}

// Changed returns a channel that receives after a change and is closed with the
// hub.
func (w *Watcher) Changed() <-chan struct{} { return w.changed }

// Leave stops watching. Calling it again has no effect.
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

// Publish notifies the pages interested in the change.
func (h *Hub) Publish(c Change) { h.tell(func(i Interest) bool { return i.concerns(c) }) }

// Missed notifies all pages that changes may have been missed.
func (h *Hub) Missed() { h.tell(func(Interest) bool { return true }) }

func (h *Hub) tell(concerned func(Interest) bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for w := range h.watchers {
		if !h.closed && concerned(w.interest) {
			select {
			case w.changed <- struct{}{}:
			default: // a notification is already pending
			}
		}
	}
}

// Close stops all watching, so that a server that shuts down need not wait for
// open pages.
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
