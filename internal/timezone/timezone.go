// Package timezone loads and caches IANA time zones. Parsing one from the zone
// data each time costs more than evaluating a placement.
package timezone

import (
	"fmt"
	"sync"
	"time"
	_ "time/tzdata" // so that a machine without zone data has the same zones
)

// found caches zones that exist. Unknown names are not cached, which bounds its
// size.
var found sync.Map // string → *time.Location

// Load returns the zone with an IANA name such as Asia/Makassar. It returns an
// error for an unknown name, and for "" and "Local", whose meaning depends on
// the machine.
func Load(name string) (*time.Location, error) {
	if z, ok := found.Load(name); ok {
		return z.(*time.Location), nil
	}
	if name == "" || name == "Local" {
		return nil, fmt.Errorf("%q is not a time zone such as Asia/Makassar", name)
	}
	z, err := time.LoadLocation(name)
	if err != nil {
		return nil, fmt.Errorf("%q is not a time zone such as Asia/Makassar", name)
	}
	kept, _ := found.LoadOrStore(name, z)
	return kept.(*time.Location), nil
}

// OrUTC returns the zone with the name, or UTC if there is none.
func OrUTC(name string) *time.Location {
	z, err := Load(name)
	if err != nil {
		return time.UTC
	}
	return z
}
