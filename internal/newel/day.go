package newel

import (
	"database/sql/driver"
	"fmt"
	"time"
)

// Day is a calendar date without a time or zone. The zero Day is "none".
type Day struct{ t time.Time }

// NewDay returns the Day of its parts; out-of-range parts roll over as in
// time.Date.
func NewDay(year int, month time.Month, day int) Day {
	return Day{time.Date(year, month, day, 0, 0, 0, 0, time.UTC)}
}

// DayOf returns the local date of t in the zone.
func DayOf(t time.Time, zone *time.Location) Day {
	y, m, d := t.In(zone).Date()
	return NewDay(y, m, d)
}

// ParseDay parses a date in the form 2006-01-02.
func ParseDay(text string) (Day, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return Day{}, fmt.Errorf("date %q: want year-month-day", text)
	}
	return Day{t}, nil
}

// IsZero reports whether there is no date.
func (d Day) IsZero() bool { return d.t.IsZero() }

// String returns 2006-01-02, or "" for the zero Day.
func (d Day) String() string {
	if d.IsZero() {
		return ""
	}
	return d.t.Format(time.DateOnly)
}

// Time returns midnight UTC of the day, for formatting.
func (d Day) Time() time.Time { return d.t }

// AddDays returns the day n days later.
func (d Day) AddDays(n int) Day { return Day{d.t.AddDate(0, 0, n)} }

// Before reports whether d is earlier than o.
func (d Day) Before(o Day) bool { return d.t.Before(o.t) }

// Equal reports whether d and o are the same date.
func (d Day) Equal(o Day) bool { return d.t.Equal(o.t) }

// Sub returns the number of days from o to d.
func (d Day) Sub(o Day) int { return int(d.t.Sub(o.t).Hours() / 24) }

// MarshalText returns the form of String.
func (d Day) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText parses the form of String; an empty text is the zero Day.
func (d *Day) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = Day{}
		return nil
	}
	v, err := ParseDay(string(b))
	*d = v
	return err
}

// Scan reads a database date.
func (d *Day) Scan(src any) error {
	switch v := src.(type) {
	case nil:
		*d = Day{}
	case time.Time:
		*d = NewDay(v.Date())
	case string:
		return d.UnmarshalText([]byte(v))
	default:
		return fmt.Errorf("cannot read a date from %T", src)
	}
	return nil
}

// Value writes a database date; the zero Day is null.
func (d Day) Value() (driver.Value, error) {
	if d.IsZero() {
		return nil, nil
	}
	return d.String(), nil
}
