package newel

// The places that phones offer, as they are recorded. What people read is in
// the catalogue.
const (
	PlaceHome   = "home"
	PlaceOut    = "out"
	PlaceClinic = "clinic"
)

// Places lists every place that phones offer.
var Places = []string{PlaceHome, PlaceOut, PlaceClinic}

// PlaceSort is what sort of place a place is.
type PlaceSort string

// The sorts of places.
const (
	SortHome   PlaceSort = "home"
	SortOut    PlaceSort = "out" // out and about
	SortSchool PlaceSort = "school"
	SortClinic PlaceSort = "clinic"
)

// PlaceSorts lists every sort.
var PlaceSorts = []PlaceSort{SortHome, SortOut, SortSchool, SortClinic}

// SortOf returns the sort of a place that phones offer; empty for any other.
func SortOf(place string) PlaceSort {
	switch place {
	case PlaceHome:
		return SortHome
	case PlaceOut:
		return SortOut
	case PlaceClinic:
		return SortClinic
	}
	return ""
}

// placeByLabel maps what phones recorded before there were codes, the
// English label of the button, to the code. The labels of home and clinic were
// the same as their codes.
var placeByLabel = map[string]string{"out and about": PlaceOut}

// PlaceOf returns the place that was recorded: a code where a phone recorded
// the label instead, and any other text as it is.
func PlaceOf(recorded string) string {
	if code, ok := placeByLabel[recorded]; ok {
		return code
	}
	return recorded
}
