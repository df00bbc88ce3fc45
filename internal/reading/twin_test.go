package reading

import (
	"testing"
	"time"

	"newel/internal/newel"
)

// TestCoverage checks which sessions count, and which of them had a second
// observer.
func TestCoverage(t *testing.T) {
	t.Parallel()
	ana, ben, cleo := newel.NewID[newel.AccountID](), newel.NewID[newel.AccountID](), newel.NewID[newel.AccountID]()
	row := func(who newel.AccountID, from, to int, change ...func(*newel.SessionRow)) newel.SessionRow {
		at := func(minute int) time.Time { return time.Date(2026, 3, 9, 18, minute, 0, 0, time.UTC) }
		r := newel.SessionRow{ID: newel.NewID[newel.RecordingID](), AuthorID: who, StartedAt: at(from), EndedAt: at(to)}
		for _, c := range change {
			c(&r)
		}
		return r
	}
	void, later := func(r *newel.SessionRow) { r.Void = true }, func(r *newel.SessionRow) { r.Afterwards = true }
	for name, c := range map[string]struct {
		rows []newel.SessionRow
		want Coverage
	}{
		"none":                               {nil, Coverage{}},
		"one observer":                       {[]newel.SessionRow{row(ana, 0, 5), row(ben, 5, 9)}, Coverage{0, 2}},
		"two observers":                      {[]newel.SessionRow{row(ana, 0, 5), row(ben, 1, 6), row(ana, 30, 35)}, Coverage{1, 2}},
		"three observers":                    {[]newel.SessionRow{row(ana, 0, 5), row(ben, 1, 6), row(cleo, 2, 7)}, Coverage{1, 1}},
		"one record excluded":                {[]newel.SessionRow{row(ana, 0, 5, void), row(ben, 1, 6)}, Coverage{1, 1}},
		"both excluded":                      {[]newel.SessionRow{row(ana, 0, 5, void), row(ben, 1, 6, void)}, Coverage{}},
		"the second from memory":             {[]newel.SessionRow{row(ana, 0, 5), row(ben, 1, 6, later)}, Coverage{0, 1}},
		"the first from memory":              {[]newel.SessionRow{row(ana, 0, 5, later), row(ben, 1, 6)}, Coverage{0, 1}},
		"one from memory, two live":          {[]newel.SessionRow{row(ana, 0, 5, later), row(ben, 1, 6), row(cleo, 2, 7)}, Coverage{1, 1}},
		"one person's two phones":            {[]newel.SessionRow{row(ana, 0, 5), row(ana, 1, 6)}, Coverage{0, 2}},
		"excluded, from memory, the other's": {[]newel.SessionRow{row(ana, 0, 5, void, later), row(ben, 1, 6)}, Coverage{0, 1}},
	} {
		if got := CoverageOf(c.rows); got != c.want {
			t.Errorf("%s: %+v, want %+v", name, got, c.want)
		}
	}
}
