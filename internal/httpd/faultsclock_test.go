package httpd

import (
	"fmt"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"newel/internal/newel"
	"newel/internal/recording"
)

// kept is what the server has stored of one recording.
type kept struct {
	Start, End     time.Time
	Day            string
	Corrected, Odd bool
}

func (b benchSite) kept(id newel.RecordingID) kept {
	b.t.Helper()
	var k kept
	var day time.Time
	err := b.site.World.DB.Bypass.QueryRow(b.t.Context(), `select started_at, ended_at, local_date, corrected, odd_clock from recording where id = $1`, id).
		Scan(&k.Start, &k.End, &day, &k.Corrected, &k.Odd)
	if err != nil {
		b.t.Fatal(err)
	}
	k.Day = day.Format(time.DateOnly)
	return k
}

// sendAt sends a document with the readings of the phone's clocks.
func (s *shadow) sendAt(t testing.TB, phone *browser, d recording.Document, shows recording.Sent) {
	t.Helper()
	r := httptest.NewRequest("PUT", "/recordings/"+d.ID.String(), strings.NewReader(string(d.Encode())))
	r.Header.Set("Content-Type", recording.MediaType)
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	r.Header.Set(recording.SentHeader, sentHeader(shows))
	p := phone.send(r)
	receipt, err := believed(p.status, p.header.Get("Content-Type"), []byte(p.body), d.Encode())
	if err != nil {
		t.Fatal(err)
	}
	s.note(*receipt)
}

func shown(t time.Time) recording.DeviceTime {
	return recording.DeviceTime(t.Format("2006-01-02T15:04:05.000Z07:00"))
}

const length = 48 * time.Second // of the session of three tries below

// TestF41ClockWrongByYears: a wrong but steady clock does no harm; the times
// are corrected, and the supervisor's page says so.
func TestF41ClockWrongByYears(t *testing.T) {
	t.Parallel()
	for _, years := range []int{-7, 1} {
		b := newBenchSite(t)
		var told shadow
		s := b.session("aaa")
		truth := s.Start
		s.Start = truth.AddDate(years, 0, 0)
		d := s.Document()
		told.sendAt(t, b.as(b.Bench.Home.Caregiver), d, recording.Sent{At: shown(s.Start.Add(b.clock.Now().Sub(truth)))})
		got := b.kept(d.ID)
		if !got.Start.Equal(truth) || !got.End.Equal(truth.Add(length)) || got.Day != "2026-03-12" || !got.Corrected || got.Odd {
			t.Errorf("%d years: %+v", years, got)
		}
		if page := b.as(b.Bench.Supervisor).get("/recordings/" + d.ID.String()); !strings.Contains(page.text("main"), "clock was wrong") {
			t.Errorf("%d years: the page does not say that the times were corrected", years)
		}
		told.check(t, b)
	}
}

// TestF41ClockMovedBackDuringSession: the wall clock goes back a year during the
// session. Durations come from the monotonic clock, and the times are marked as
// estimates.
func TestF41ClockMovedBackDuringSession(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	s := b.session("aaa")
	d := s.Document()
	ended := s.Start.Add(length)
	d.Closing.EndedAt = shown(ended.AddDate(-1, 0, 0))
	ms := int64(b.clock.Now().Sub(s.Start) / time.Millisecond)
	told.sendAt(t, b.as(b.Bench.Home.Caregiver), d, recording.Sent{At: shown(b.clock.Now().AddDate(-1, 0, 0)), MS: &ms})
	got := b.kept(d.ID)
	if got.End.Sub(got.Start) != length || !got.End.Equal(ended) || !got.Odd {
		t.Errorf("%+v", got)
	}
	told.check(t, b)
}

// TestF41OldSessionIsAccepted: a session from four days ago is as valid as one from
// today, with its own date.
func TestF41OldSessionIsAccepted(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	s := b.session("aaa")
	s.Start = s.Start.AddDate(0, 0, -4)
	d := s.Document()
	told.sendAt(t, b.as(b.Bench.Home.Caregiver), d, recording.Sent{At: shown(b.clock.Now())})
	if got := b.kept(d.ID); got.Day != "2026-03-08" || got.Corrected || got.Odd {
		t.Errorf("%+v", got)
	}
	told.check(t, b)
}

// TestF42SummerTimeAndOtherZone: the date is that of the start in the family's
// zone, and durations do not depend on offsets. Source of the first case: in
// the European Union clocks go from 2 to 3 on the last Sunday of March
// (Directive 2000/84/EC); in 2026 that is the 29th.
func TestF42SummerTimeAndOtherZone(t *testing.T) {
	t.Parallel()
	winter, summer := time.FixedZone("", 3600), time.FixedZone("", 7200)
	for name, c := range map[string]struct {
		zone       string
		start, end time.Time
		day        string
	}{
		"clocks go forward": {
			"Europe/Berlin", time.Date(2026, 3, 29, 1, 59, 30, 0, winter), time.Date(2026, 3, 29, 3, 0, 18, 0, summer), "2026-03-29",
		},
		"a flight over midnight": {
			"Asia/Kuala_Lumpur", time.Date(2026, 3, 28, 23, 59, 30, 0, time.FixedZone("", 8*3600)),
			time.Date(2026, 3, 28, 23, 0, 18, 0, time.FixedZone("", 7*3600)), "2026-03-28",
		},
	} {
		b := newBenchSite(t)
		var told shadow
		b.clock.Set(time.Date(2026, 3, 29, 4, 0, 0, 0, time.UTC))
		b.exec(`update family set time_zone = $1`, c.zone)
		s := b.session("aaa")
		s.Start = c.start
		d := s.Document()
		d.Closing.EndedAt = shown(c.end)
		told.sendAt(t, b.as(b.Bench.Home.Caregiver), d, recording.Sent{At: shown(b.clock.Now().In(c.end.Location()))})
		got := b.kept(d.ID)
		if got.Day != c.day || got.End.Sub(got.Start) != length || !got.Start.Equal(c.start) || got.Corrected || got.Odd {
			t.Errorf("%s: %+v", name, got)
		}
		told.check(t, b)
	}
}

// TestF43MonotonicClockRestarted: the phone was restarted during the session,
// and its monotonic clock covers only the rest. No duration is invented: the
// session is as long as was measured, and the gap is marked.
func TestF43MonotonicClockRestarted(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	s := b.session("aaa")
	d := s.Document()
	ended := s.Start.Add(20 * time.Minute) // by the wall clock; 48 seconds were measured
	d.Closing.EndedAt = shown(ended)
	told.sendAt(t, b.as(b.Bench.Home.Caregiver), d, recording.Sent{At: shown(b.clock.Now())})
	got := b.kept(d.ID)
	if !got.End.Equal(ended) || got.End.Sub(got.Start) != length || !got.Odd {
		t.Errorf("%+v", got)
	}
	told.check(t, b)
}

// sentHeader is the header's value as a phone writes it.
func sentHeader(s recording.Sent) string {
	if s.MS == nil {
		return string(s.At)
	}
	return fmt.Sprintf("%s; ms=%d", s.At, *s.MS)
}
