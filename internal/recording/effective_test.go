package recording

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/newel"
)

func moment(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return t
}

// session returns a closed view of a ten-minute session with the given
// wall-clock times.
func session(started, ended DeviceTime) View {
	return View{
		Origin:  Origin{StartedAt: started},
		Closing: &Closing{EndMS: 600_000, EndedAt: ended},
	}
}

func ms(n int64) *int64 { return &n }

func TestEffective(t *testing.T) {
	t.Parallel()
	makassar, err := time.LoadLocation("Asia/Makassar")
	if err != nil {
		t.Fatal(err)
	}
	right := session("2026-03-09T18:30:00+08:00", "2026-03-09T18:40:00+08:00")
	yearBehind := session("2025-03-09T18:30:00+08:00", "2025-03-09T18:40:00+08:00")
	yearAhead := session("2027-03-09T18:30:00+08:00", "2027-03-09T18:40:00+08:00")
	kit := moment("2026-03-01T08:00:00Z")
	tests := map[string]struct {
		view           View
		arrival        Arrival
		start, end     string // UTC
		day            string
		corrected, odd bool
	}{
		"sent at once": {
			right,
			Arrival{ReceivedAt: moment("2026-03-09T10:40:01Z"), Sent: Sent{At: "2026-03-09T18:40:01+08:00"}, NotBefore: kit},
			"2026-03-09T10:30:00Z", "2026-03-09T10:40:00Z", "2026-03-09", false, false,
		},
		"a week offline": {
			right,
			Arrival{ReceivedAt: moment("2026-03-16T10:40:00Z"), Sent: Sent{At: "2026-03-16T18:40:00+08:00"}, NotBefore: kit},
			"2026-03-09T10:30:00Z", "2026-03-09T10:40:00Z", "2026-03-09", false, false,
		},
		"the phone did not report when it sent": {
			right,
			Arrival{ReceivedAt: moment("2026-03-16T10:40:00Z"), NotBefore: kit},
			"2026-03-09T10:30:00Z", "2026-03-09T10:40:00Z", "2026-03-09", false, false,
		},
		"steady, a year behind": {
			yearBehind,
			Arrival{ReceivedAt: moment("2026-03-09T12:40:00Z"), Sent: Sent{At: "2025-03-09T20:40:00+08:00"}, NotBefore: kit},
			"2026-03-09T10:30:00Z", "2026-03-09T10:40:00Z", "2026-03-09", true, false,
		},
		"steady, a year ahead": {
			yearAhead,
			Arrival{ReceivedAt: moment("2026-03-09T12:40:00Z"), Sent: Sent{At: "2027-03-09T20:40:00+08:00"}, NotBefore: kit},
			"2026-03-09T10:30:00Z", "2026-03-09T10:40:00Z", "2026-03-09", true, false,
		},
		"a year behind, corrected before sending, browser still open": {
			yearBehind,
			Arrival{ReceivedAt: moment("2026-03-09T12:40:00Z"), Sent: Sent{"2026-03-09T20:40:00+08:00", ms(600_000 + 7_200_000)}, NotBefore: kit},
			"2026-03-09T10:30:00Z", "2026-03-09T10:40:00Z", "2026-03-09", true, true,
		},
		"a year behind, corrected before sending, browser restarted": {
			yearBehind,
			Arrival{ReceivedAt: moment("2026-03-09T12:40:00Z"), Sent: Sent{At: "2026-03-09T20:40:00+08:00"}, NotBefore: kit},
			"2026-03-09T12:30:00Z", "2026-03-09T12:40:00Z", "2026-03-09", true, true,
		},
		"a year ahead, corrected before sending": {
			yearAhead,
			Arrival{ReceivedAt: moment("2026-03-09T12:40:00Z"), Sent: Sent{At: "2026-03-09T20:40:00+08:00"}, NotBefore: kit},
			"2026-03-09T12:30:00Z", "2026-03-09T12:40:00Z", "2026-03-09", true, true,
		},
		"corrected while recording": {
			session("2025-03-09T18:30:00+08:00", "2026-03-09T18:40:00+08:00"),
			Arrival{ReceivedAt: moment("2026-03-09T10:40:00Z"), Sent: Sent{At: "2026-03-09T18:40:00+08:00"}, NotBefore: kit},
			"2026-03-09T10:30:00Z", "2026-03-09T10:40:00Z", "2026-03-09", true, true,
		},
		"the phone slept and its monotonic clock stopped": {
			right,
			Arrival{ReceivedAt: moment("2026-03-10T10:40:00Z"), Sent: Sent{"2026-03-10T18:40:00+08:00", ms(700_000)}, NotBefore: kit},
			"2026-03-09T10:30:00Z", "2026-03-09T10:40:00Z", "2026-03-09", false, false,
		},
		"just before midnight in the family's zone": {
			session("2026-03-09T23:55:00+08:00", "2026-03-10T00:05:00+08:00"),
			Arrival{ReceivedAt: moment("2026-03-09T16:05:00Z"), Sent: Sent{At: "2026-03-10T00:05:00+08:00"}, NotBefore: kit},
			"2026-03-09T15:55:00Z", "2026-03-09T16:05:00Z", "2026-03-09", false, false,
		},
		"the phone is in a different zone": {
			session("2026-03-09T17:55:00+02:00", "2026-03-09T18:05:00+02:00"),
			Arrival{ReceivedAt: moment("2026-03-09T16:05:00Z"), Sent: Sent{At: "2026-03-09T18:05:00+02:00"}, NotBefore: kit},
			"2026-03-09T15:55:00Z", "2026-03-09T16:05:00Z", "2026-03-09", false, false,
		},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			test.arrival.Zone = makassar
			day, err := newel.ParseDay(test.day)
			if err != nil {
				t.Fatal(err)
			}
			want := Times{moment(test.start), moment(test.end), day, test.corrected, test.odd}
			if got := Effective(test.view, test.arrival); got != want {
				t.Errorf("got %+v\nwant %+v", got, want)
			}
		})
	}
}

// TestTimesOfASessionFromMemory: what a person says about the day decides, and
// no session lies in the future or before its step.
func TestTimesOfASessionFromMemory(t *testing.T) {
	t.Parallel()
	makassar, err := time.LoadLocation("Asia/Makassar")
	if err != nil {
		t.Fatal(err)
	}
	arrival := Arrival{ReceivedAt: moment("2026-03-09T12:40:00Z"), NotBefore: moment("2026-03-02T05:00:00Z"), Zone: makassar}
	for name, test := range map[string]struct {
		on, about, at, day string
		odd                bool
	}{
		"only the day":                {"2026-03-07", "", "2026-03-07T04:00:00Z", "2026-03-07", false},
		"a part of the day":           {"2026-03-07", "evening", "2026-03-07T11:00:00Z", "2026-03-07", false},
		"a time":                      {"2026-03-07", "07:05", "2026-03-06T23:05:00Z", "2026-03-07", false},
		"later today":                 {"2026-03-09", "23:00", "2026-03-09T12:40:00Z", "2026-03-09", false},
		"tomorrow":                    {"2026-03-10", "morning", "2026-03-09T12:40:00Z", "2026-03-09", true},
		"the day on which it began":   {"2026-03-02", "morning", "2026-03-02T05:00:00Z", "2026-03-02", false},
		"before the step, by a month": {"2026-02-02", "morning", "2026-03-02T05:00:00Z", "2026-03-02", true},
	} {
		v := session("2026-03-09T20:30:00+08:00", "2026-03-09T20:40:00+08:00")
		on, err := newel.ParseDay(test.on)
		if err != nil {
			t.Fatal(err)
		}
		v.Header.How, v.Header.HappenedOn = Rev(1, Afterwards), Rev(1, on)
		if test.about != "" {
			v.Header.About = Rev(1, About(test.about))
		}
		day, err := newel.ParseDay(test.day)
		if err != nil {
			t.Fatal(err)
		}
		at := moment(test.at)
		if got, want := Effective(v, arrival), (Times{Start: at, End: at, Day: day, OddClock: test.odd}); got != want {
			t.Errorf("%s: got %+v, want %+v", name, got, want)
		}
		v.Header.How = Rev(1, Live)
		if got := Effective(v, arrival); got.Start == at {
			t.Errorf("%s: a live session took place when its phone says", name)
		}
	}
}

func TestEffectiveIsSaneForAnyClocks(t *testing.T) {
	t.Parallel()
	received, kit := moment("2026-03-09T12:40:00Z"), moment("2026-03-01T08:00:00Z")
	anyTime := rapid.Custom(func(t *rapid.T) DeviceTime {
		year := rapid.SampledFrom([]int{1, 1970, 2025, 2026, 2027, 9999}).Draw(t, "year")
		day := rapid.IntRange(0, 364*86400).Draw(t, "second")
		return DeviceTime(time.Date(year, 1, 1, 0, 0, day, 0, time.UTC).Format(time.RFC3339))
	})
	rapid.Check(t, func(t *rapid.T) {
		v := session(anyTime.Draw(t, "started"), anyTime.Draw(t, "ended"))
		v.Closing.EndMS = rapid.Int64Range(0, MaxOffset).Draw(t, "length")
		a := Arrival{ReceivedAt: received, NotBefore: kit, Zone: time.UTC}
		if rapid.Bool().Draw(t, "says when") {
			a.Sent.At = anyTime.Draw(t, "sent")
			if rapid.Bool().Draw(t, "kept running") {
				a.Sent.MS = ms(rapid.Int64Range(0, MaxOffset).Draw(t, "since start"))
			}
		}
		got := Effective(v, a)
		if got.End.After(received) || got.Start.After(got.End) {
			t.Fatalf("%+v: want start ≤ end ≤ receipt", got)
		}
		if a.Sent.MS == nil && got.Start.Before(kit) {
			t.Fatalf("%+v began before its kit was made", got)
		}
		if got.Day != newel.DayOf(got.Start, time.UTC) {
			t.Fatalf("%+v: the day is not the start's", got)
		}
	})
}

func TestParseSent(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]Sent{
		"":                          {},
		"2026-03-09T18:40:00+08:00": {At: "2026-03-09T18:40:00+08:00"},
		"2026-03-09T18:40:00.250+08:00; ms=588000": {At: "2026-03-09T18:40:00.250+08:00", MS: ms(588_000)},
	} {
		got, err := ParseSent(text)
		if diff := cmp.Diff(want, got); diff != "" || err != nil {
			t.Errorf("ParseSent(%q): %v %s", text, err, diff)
		}
	}
	for _, text := range []string{"now", "2026-03-09T18:40:00+08:00; ms=", "2026-03-09T18:40:00+08:00; ms=-1", "2026-03-09T18:40:00+08:00; ms=9999999999"} {
		if _, err := ParseSent(text); err == nil {
			t.Errorf("ParseSent(%q) returned no error", text)
		}
	}
}
