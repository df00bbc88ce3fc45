package recording

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"newel/internal/newel"
)

// SentHeader is the request header in which a phone reports its clocks at the
// time of sending. It is not part of the document, so a document that is sent
// again has the same hash.
const SentHeader = "Newel-Sent"

// clockTolerance is how far clocks may disagree before Newel reports it: a
// minute is as precisely as a person reads a clock, and longer than a request
// takes.
const clockTolerance = time.Minute

// Sent is the phone's clock readings when it sent a document.
type Sent struct {
	// At is the wall clock; empty if the phone did not report it.
	At DeviceTime
	// MS is the monotonic clock in milliseconds since the start of the
	// recording; nil if it was interrupted by a restart of the phone or
	// browser.
	MS *int64
}

// ParseSent parses the header, such as "2026-03-09T18:40:00+08:00" or
// "2026-03-09T18:40:00+08:00; ms=588000". Empty text returns the zero Sent.
func ParseSent(text string) (Sent, error) {
	if text == "" {
		return Sent{}, nil
	}
	at, ms, hasMS := strings.Cut(text, "; ms=")
	t, err := readDeviceTime(node{SentHeader, at})
	if err != nil {
		return Sent{}, err
	}
	if !hasMS {
		return Sent{At: t}, nil
	}
	n, err := strconv.ParseInt(ms, 10, 64)
	if err != nil || n < 0 || n > MaxOffset {
		return Sent{}, &InvalidError{SentHeader, fmt.Sprintf("ms must be a whole number from 0 to %d", int64(MaxOffset))}
	}
	return Sent{t, &n}, nil
}

// Arrival describes how the document that determines a recording's times
// arrived: the first closing one.
type Arrival struct {
	ReceivedAt time.Time // by the server's clock
	Sent       Sent
	// NotBefore is when the kit used for the recording was made, by the
	// server's clock; zero if unknown. No session is older than its kit.
	NotBefore time.Time
	// Zone is the family's time zone; it determines the local date.
	Zone *time.Location
}

// Times are the session times that the server vouches for. They are computed
// once and stored next to the phone's own times.
type Times struct {
	Start, End time.Time // UTC, to the millisecond
	// Day is the local date of the start in the family's zone.
	Day newel.Day
	// Corrected reports whether start or end differ from the phone's clock.
	Corrected bool
	// OddClock reports whether the phone's clocks contradict each other or the
	// server, so that the times are a best guess.
	OddClock bool
}

// Effective computes when a session took place. It trusts how long before
// sending the session ended by the phone's own clock, so a clock that is wrong
// but steady does no harm. It subtracts that from the time of receipt, and
// computes the start from the end by the monotonic clock.
//
// The interval is never shorter than by the monotonic clock, which may stop
// while a phone sleeps but never runs ahead. If the wall clock would put the
// session before its own kit, it was changed in between and only the monotonic
// clock counts. So the end is never after receipt and the start never after the
// end.
//
// A session that was entered afterward for a date that a person chose took
// place on that date; see onDay.
func Effective(v View, a Arrival) Times {
	if day, ok := v.Header.HappenedOn.Get(); ok && v.Header.How.Or(Live) == Afterwards {
		return v.onDay(day, a)
	}
	startedAt := v.Origin.StartedAt.Time()
	length, endedAt := v.length()
	odd := gap(endedAt.Sub(startedAt), length) > clockTolerance

	least := time.Duration(0)
	if a.Sent.MS != nil {
		least = max(0, milliseconds(*a.Sent.MS)-length)
	}
	sentAt := a.ReceivedAt
	if a.Sent.At != "" {
		sentAt = a.Sent.At.Time()
	}
	ago := sentAt.Sub(endedAt)
	if ago < least {
		odd = odd || least-ago > clockTolerance
		ago = least
	}
	end := a.ReceivedAt.Add(-ago)
	if end.Add(-length).Before(a.NotBefore.Add(-clockTolerance)) {
		odd = true
		end = a.ReceivedAt.Add(-least)
	}
	start := end.Add(-length)
	if start.Before(a.NotBefore) {
		start = earlier(a.NotBefore, end)
	}
	return Times{
		Start:     start.UTC().Truncate(time.Millisecond),
		End:       end.UTC().Truncate(time.Millisecond),
		Day:       newel.DayOf(start, a.Zone),
		Corrected: apart(start, startedAt) || apart(end, endedAt),
		OddClock:  odd,
	}
}

// aboutHours is when a part of the day is taken to be, in hours. It only puts
// the sessions of a day in order; pages show the part of the day.
var aboutHours = map[About]time.Duration{Morning: 9, Midday: 12, Afternoon: 15, Evening: 19}

// atNoon is assumed if nothing is known but the day.
const atNoon = 12 * time.Hour

// onDay returns the times of a session that a person says took place on a day.
// How long it took is not known, so it starts and ends at the same moment: the
// time that was given, or that of the part of the day. The moment is never after
// the receipt, and not before the phone could have had the kit; the clocks are
// odd if that leaves another day.
func (v View) onDay(day newel.Day, a Arrival) Times {
	y, m, d := day.Time().Date()
	since := atNoon
	about := v.Header.About.Or("")
	if hours, ok := aboutHours[about]; ok {
		since = hours * time.Hour
	} else if t, err := time.Parse("15:04", string(about)); err == nil {
		since = time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute
	}
	at := time.Date(y, m, d, 0, int(since.Minutes()), 0, 0, a.Zone)
	if at.Before(a.NotBefore) {
		at = a.NotBefore
	}
	at = earlier(at, a.ReceivedAt)
	return Times{
		Start: at.UTC().Truncate(time.Millisecond), End: at.UTC().Truncate(time.Millisecond),
		Day: newel.DayOf(at, a.Zone), OddClock: !newel.DayOf(at, a.Zone).Equal(day),
	}
}

// length returns how long the session took by the monotonic clock, and when it
// ended by the wall clock. An open recording ends at its last trial.
func (v View) length() (time.Duration, time.Time) {
	if v.Closing != nil {
		return milliseconds(v.Closing.EndMS), v.Closing.EndedAt.Time()
	}
	last := int64(0)
	for _, t := range v.Trials {
		last = max(last, t.AtMS)
	}
	return milliseconds(last), v.Origin.StartedAt.Time().Add(milliseconds(last))
}

// ClockGap returns how far the phone's wall clock and its monotonic clock
// differ about the length of the session. There is a gap if the phone slept or
// its clock was set in between.
func (v View) ClockGap() time.Duration {
	length, endedAt := v.length()
	return gap(endedAt.Sub(v.Origin.StartedAt.Time()), length)
}

func milliseconds(ms int64) time.Duration { return time.Duration(ms) * time.Millisecond }

func gap(a, b time.Duration) time.Duration { return (a - b).Abs() }

// apart reports whether two moments differ by more than the clock tolerance.
func apart(a, b time.Time) bool { return a.Sub(b).Abs() > clockTolerance }

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}
