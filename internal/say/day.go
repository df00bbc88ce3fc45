package say

import (
	"strings"
	"time"

	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/timezone"
)

// whenIn formats a time on the family's clock and names its zone.
func whenIn(t *message.Printer, at time.Time, zone string) string {
	local := at.In(timezone.OrUTC(zone))
	return t.Text("time.at", "day", t.Day(newel.DayOf(at, local.Location())), "time", local.Format("15:04"), "zone", placeOf(local.Location()))
}

// placeOf returns the place that a zone is named after.
func placeOf(zone *time.Location) string {
	name := zone.String()
	return strings.ReplaceAll(name[strings.LastIndex(name, "/")+1:], "_", " ")
}

// DayOf returns the date of a time in UTC, for clinic pages that show only the
// day.
func DayOf(t time.Time) newel.Day { return newel.DayOf(t, time.UTC) }
