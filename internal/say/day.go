package say

import (
	"strings"
	"time"

	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/timezone"
)

// whenIn says a moment as the family's clock has it, and whose clock that is.
func whenIn(t *message.Printer, at time.Time, zone string) string {
	local := at.In(timezone.OrUTC(zone))
	return t.Text("time.at", "day", t.Day(newel.DayOf(at, local.Location())), "time", local.Format("15:04"), "zone", placeOf(local.Location()))
}

// placeOf is the place that a zone is named by.
func placeOf(zone *time.Location) string {
	name := zone.String()
	return strings.ReplaceAll(name[strings.LastIndex(name, "/")+1:], "_", " ")
}

// DayOf is the date of a moment in the zone of the server's own clinic pages;
// a day is all that is told of it.
func DayOf(t time.Time) newel.Day { return newel.DayOf(t, time.UTC) }
