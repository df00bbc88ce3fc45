// Package timezone finds IANA time zones by name and remembers them. Reading one
// from the zone data each time costs more than computing a reading.
package timezone

import (
	"fmt"
	"sync"
	"time"
	_ "time/tzdata" // so that a machine without zone data knows the same zones
)

// found remembers the zones that exist. Unknown names are not remembered, so
// that it stays as small as the zone data.
var found sync.Map // string → *time.Location

// Load returns the zone of an IANA name such as Asia/Makassar. It returns an
// error for an unknown name, and for "" and "Local", which mean something else
// on every machine.
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

// OrUTC returns the zone of a name, and UTC if there is no such zone.
func OrUTC(name string) *time.Location {
	z, err := Load(name)
	if err != nil {
		return time.UTC
	}
	return z
}
