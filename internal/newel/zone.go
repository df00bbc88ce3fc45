package newel

import "time"

// Location gives the zone of a family; names are checked when they are
// entered, so that an unknown one can only come from a system without zones.
func Location(name string) *time.Location {
	zone, err := time.LoadLocation(name)
	if err != nil {
		return time.UTC
	}
	return zone
}
