package criterion

import (
	"fmt"
	"time"
)

// Date is a calendar day without a time zone. The zero Date is no date.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// DateOf returns the local date of a moment in a time zone.
func DateOf(t time.Time, zone *time.Location) Date {
	y, m, d := t.In(zone).Date()
	return Date{y, m, d}
}

// ParseDate parses a date such as 2006-01-02.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, fmt.Errorf("%q is not a date such as 2026-03-09", s)
	}
	return DateOf(t, time.UTC), nil
}

// IsZero reports whether d is no date.
func (d Date) IsZero() bool { return d == Date{} }

// String returns the date as 2006-01-02.
func (d Date) String() string {
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
}

// MarshalText returns the date as 2006-01-02.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText parses a date such as 2006-01-02.
func (d *Date) UnmarshalText(b []byte) (err error) {
	*d, err = ParseDate(string(b))
	return err
}

const secondsADay = 24 * 60 * 60

// day returns the number of days since 1970-01-01, so that dates can be
// subtracted.
func (d Date) day() int {
	// Midnight is a whole number of days away, before 1970 too.
	return int(time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Unix() / secondsADay)
}

func dateOfDay(day int) Date {
	return DateOf(time.Unix(int64(day)*secondsADay, 0), time.UTC)
}
