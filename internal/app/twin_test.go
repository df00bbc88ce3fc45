package app_test

import (
	"fmt"
	"testing"
	"time"

	"newel/internal/app"
	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/recording"
)

// observers is a session on two phones. The second one's wall clock is fast,
// and its taps come a little later.
type observers struct {
	marks     string        // the trials; see fixture.Session
	missed    int           // number of the trial that the second did not record; 0 for none
	fast      time.Duration // the second phone's clock
	slept     time.Duration // by which the second phone's monotonic clock is behind at the end
	how       recording.How // of the second record
	lateStart time.Duration // of the second phone
}

// twin sends both records and returns the session as the supervisor sees it.
func (b *bench) twin(t *testing.T, o observers) (reading.Twin, reading.Progress) {
	t.Helper()
	first := b.session(o.marks, 0).Document()
	s := b.session(o.marks, 0)
	s.House.Caregiver, s.How, s.Start = b.Supervisor, o.how, s.Start.Add(o.lateStart)
	second := s.Document()
	var kept []recording.Trial
	for _, trial := range second.Trials {
		if trial.N == o.missed {
			continue
		}
		trial.N = len(kept) + 1
		trial.AtMS += 2500 - o.lateStart.Milliseconds()
		kept = append(kept, trial)
	}
	second.Trials, second.Closing.Last = kept, len(kept)
	end := second.Closing.EndedAt.Time()
	second.StartedAt = recording.DeviceTime(second.StartedAt.Time().Add(o.fast).Format(time.RFC3339))
	second.Closing.EndedAt = recording.DeviceTime(end.Add(o.fast + o.slept).Format(time.RFC3339))
	b.mustPut(t, b.Home.Caregiver, first)
	sent := recording.Sent{At: recording.DeviceTime(b.now().In(evening.Location()).Add(o.fast + o.slept).Format(time.RFC3339))}
	if _, err := b.app.StoreRecording(t.Context(), b.Supervisor, app.Delivered{ID: second.ID, Body: second.Encode(), Sent: sent}); err != nil {
		t.Fatal(err)
	}
	return b.seen(t, first.ID)
}

// seen returns the comparison on a session's page, which must be the same on
// the placement's page, and that page.
func (b *bench) seen(t *testing.T, id newel.RecordingID) (reading.Twin, reading.Progress) {
	t.Helper()
	page, err := b.app.RecordingPage(t.Context(), b.Supervisor, id)
	if err != nil || len(page.Twins) != 1 {
		t.Fatalf("%d records besides this one: %v", len(page.Twins), err)
	}
	progress, err := b.app.Progress(t.Context(), b.Supervisor, b.Home.Placement)
	if err != nil || len(progress.Twins) != 1 {
		t.Fatalf("%d sessions with two records: %v", len(progress.Twins), err)
	}
	if one, other := agreed(page.Twins[0]), agreed(progress.Twins[0]); one != other {
		t.Errorf("the session's page says %s, the placement's page %s", one, other)
	}
	return page.Twins[0], progress
}

// agreed is a comparison in short: the agreement, equal trials of all, and
// those that only one observer recorded.
func agreed(t reading.Twin) string {
	percent := "–"
	if t.Agreement.Trial != nil {
		percent = fmt.Sprintf("%.0f%%", *t.Agreement.Trial)
	}
	return fmt.Sprintf("%s %d/%d +%d +%d %s", percent, t.SameTries(), len(t.Tries), t.Agreement.First, t.Agreement.Second, t.Matching)
}

// TestTwoObserversAreAligned checks that trials from two phones are paired by
// the server's times, whatever the phones' clocks say, and never by number.
func TestTwoObserversAreAligned(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		observers
		want string
	}{
		"all alike":             {observers{marks: "aanna1aana"}, "100% 10/10 +0 +0 time"},
		"one missed tap":        {observers{marks: "aanannaana", missed: 3}, "90% 9/10 +1 +0 time"},
		"the first tap missed":  {observers{marks: "anaaaaaaaa", missed: 1}, "90% 9/10 +1 +0 time"},
		"an undone trial":       {observers{marks: "aavna"}, "100% 4/4 +0 +0 time"},
		"a clock 40 min fast":   {observers{marks: "aanannaana", missed: 3, fast: 40 * time.Minute}, "90% 9/10 +1 +0 time"},
		"a clock 3 min slow":    {observers{marks: "aanannaana", missed: 3, fast: -3 * time.Minute}, "90% 9/10 +1 +0 time"},
		"a second phone late":   {observers{marks: "aanannaana", lateStart: 2 * time.Second}, "100% 10/10 +0 +0 time"},
		"a phone slept 20 s":    {observers{marks: "aanannaana", missed: 3, slept: 20 * time.Second}, "90% 9/10 +1 +0 order"},
		"a clock set by 10 min": {observers{marks: "aanannaana", missed: 3, slept: 10 * time.Minute}, "90% 9/10 +1 +0 order"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			twin, progress := newBench(t).twin(t, c.observers)
			if got := agreed(twin); got != c.want {
				t.Errorf("%s, want %s", got, c.want)
			}
			if got, want := reading.CoverageOf(progress.Sessions), (reading.Coverage{Observed: 1, Of: 1}); got != want {
				t.Errorf("coverage %+v, want %+v", got, want)
			}
			for _, try := range twin.Tries {
				if try.First != nil && try.Second != nil && !try.Second.At.IsZero() && try.Second.At.Sub(try.First.At) != 2500*time.Millisecond {
					t.Errorf("tapped at %s and %s, want 2.5 s apart", try.First.At, try.Second.At)
				}
			}
		})
	}
}

// TestMemoryIsNotAnObservation checks that a record written afterwards is not
// compared and that its author is not a second observer.
func TestMemoryIsNotAnObservation(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	twin, progress := b.twin(t, observers{marks: "aana", how: recording.Afterwards})
	if twin.Agreement.Trial != nil || twin.Agreement.Why != measure.Afterwards || len(twin.Tries) > 0 || !twin.SecondLater || twin.FirstLater {
		t.Errorf("compared: %+v", twin)
	}
	if got, want := reading.CoverageOf(progress.Sessions), (reading.Coverage{Observed: 0, Of: 1}); got != want {
		t.Errorf("coverage %+v, want %+v", got, want)
	}
}

// TestTwinOfAnOldSession checks that a session's page finds the other record,
// however many sessions two people have recorded since.
func TestTwinOfAnOldSession(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	var oldest newel.RecordingID
	for i := range 22 {
		for _, who := range []newel.Actor{b.Home.Caregiver, b.Supervisor} {
			s := b.session("aa", 0)
			s.House.Caregiver, s.Start = who, evening.Add(-time.Duration(22-i)*time.Hour)
			d := s.Document()
			b.mustPut(t, who, d)
			if i == 0 {
				oldest = d.ID
			}
		}
	}
	page, err := b.app.RecordingPage(t.Context(), b.Supervisor, oldest)
	if err != nil || len(page.Twins) != 1 || agreed(page.Twins[0]) != "100% 2/2 +0 +0 time" {
		t.Errorf("%d records besides the oldest: %v", len(page.Twins), err)
	}
	progress, err := b.app.Progress(t.Context(), b.Supervisor, b.Home.Placement)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := reading.CoverageOf(progress.Sessions), (reading.Coverage{Observed: 22, Of: 22}); got != want {
		t.Errorf("coverage %+v, want %+v", got, want)
	}
}
