package live_test

import (
	"errors"
	"testing"

	"newel/internal/live"
	"newel/internal/newel"
)

func told(w *live.Watcher) bool {
	select {
	case <-w.Changed():
		return true
	default:
		return false
	}
}

func TestOnlyInterestedPagesAreNotified(t *testing.T) {
	t.Parallel()
	here, there := newel.NewID[newel.ClinicID](), newel.NewID[newel.ClinicID]()
	home, next := newel.NewID[newel.FamilyID](), newel.NewID[newel.FamilyID]()
	one, two := newel.NewID[newel.AssignmentID](), newel.NewID[newel.AssignmentID]()
	change := live.Change{Clinic: here, Family: home, Assignment: one}
	for name, c := range map[string]struct {
		interest live.Interest
		want     bool
	}{
		"the whole clinic":       {live.Interest{Clinic: here}, true},
		"its family":             {live.Interest{Clinic: here, Families: []newel.FamilyID{next, home}}, true},
		"its assignment":         {live.Interest{Clinic: here, Families: []newel.FamilyID{home}, Assignment: one}, true},
		"a different clinic":     {live.Interest{Clinic: there}, false},
		"a different family":     {live.Interest{Clinic: here, Families: []newel.FamilyID{next}}, false},
		"no families":            {live.Interest{Clinic: here, Families: []newel.FamilyID{}}, false},
		"a different assignment": {live.Interest{Clinic: here, Assignment: two}, false},
		"assignment, no family":  {live.Interest{Clinic: here, Families: []newel.FamilyID{}, Assignment: one}, false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			hub := live.New()
			w := watch(t, hub, c.interest)
			hub.Publish(change)
			hub.Publish(change) // a slow page blocks no one
			if got := told(w); got != c.want {
				t.Errorf("notified: %v", got)
			}
			if told(w) {
				t.Error("two pending changes should count as one")
			}
			hub.Missed()
			if !told(w) {
				t.Error("every page should be notified after missed changes")
			}
			w.Leave()
			hub.Publish(change)
			if told(w) {
				t.Error("notified after leaving")
			}
		})
	}
}

func TestClosingEndsWatching(t *testing.T) {
	t.Parallel()
	hub := live.New()
	w := watch(t, hub, live.Interest{})
	hub.Close()
	hub.Close()
	if _, open := <-w.Changed(); open {
		t.Error("still open")
	}
	hub.Missed()
	w.Leave()
	if _, err := hub.Watch(live.Interest{}); !errors.Is(err, live.ErrClosed) {
		t.Error("a closed hub accepts a watcher")
	}
}

func TestParseChange(t *testing.T) {
	t.Parallel()
	c := live.Change{newel.NewID[newel.ClinicID](), newel.NewID[newel.FamilyID](), newel.NewID[newel.AssignmentID]()}
	text := c.Clinic.String() + " " + c.Family.String() + " " + c.Assignment.String()
	if got, err := live.ParseChange(text); err != nil || got != c {
		t.Errorf("%v, %v", got, err)
	}
	for _, bad := range []string{"", "x", text + " x", text[1:], "  "} {
		if _, err := live.ParseChange(bad); err == nil {
			t.Errorf("%q was accepted", bad)
		}
	}
}

func watch(t *testing.T, hub *live.Hub, i live.Interest) *live.Watcher {
	t.Helper()
	w, err := hub.Watch(i)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// TestPagesPerAccountAreLimited: leaving makes room for exactly one page.
func TestPagesPerAccountAreLimited(t *testing.T) {
	t.Parallel()
	hub := live.New()
	i := live.Interest{Account: newel.NewID[newel.AccountID]()}
	var first *live.Watcher
	for range live.MaxPages {
		first = watch(t, hub, i)
	}
	if _, err := hub.Watch(i); !errors.Is(err, live.ErrFull) {
		t.Errorf("one more page: %v", err)
	}
	watch(t, hub, live.Interest{Account: newel.NewID[newel.AccountID]()}) // a different account
	first.Leave()
	first.Leave()
	watch(t, hub, i)
	if _, err := hub.Watch(i); !errors.Is(err, live.ErrFull) {
		t.Errorf("one more page after one has left: %v", err)
	}
}
