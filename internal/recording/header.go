package recording

import (
	"encoding/json"
	"fmt"
	"time"

	"newel/internal/measure"
	"newel/internal/newel"
)

// Revised is a value that can be corrected: the highest revision counts. Rev 0
// means that the phone never set it; a nil Value with a higher Rev means that
// the phone cleared it.
type Revised[T any] struct {
	Rev   int
	Value *T
}

// Get returns the value and whether there is one.
func (r Revised[T]) Get() (T, bool) {
	if r.Value == nil {
		var none T
		return none, false
	}
	return *r.Value, true
}

// Or returns the value, or other if there is none.
func (r Revised[T]) Or(other T) T {
	if v, ok := r.Get(); ok {
		return v
	}
	return other
}

// Rev returns a Revised value.
func Rev[T any](rev int, value T) Revised[T] { return Revised[T]{rev, &value} }

// Header holds the fields of the session as a whole. Each field has its own
// revision, so two corrections never overwrite each other.
type Header struct {
	By          Revised[newel.PersonID] // who taught; required
	Kind        Revised[Kind]           // required
	How         Revised[How]            // required
	PlannedHelp Revised[string]         // planned prompt, empty for independent
	EndedEarly  Revised[Ending]
	Place       Revised[string]
	Present     Revised[[]string]
	Count       Revised[int64]   // number of events
	ObservedMS  Revised[int64]   // how long events were counted
	DurationsMS Revised[[]int64] // duration of each event
	Intervals   Revised[[]bool]  // whether it occurred in each interval
	// Unfit lists the conditions of the step that the session did not meet,
	// according to the person who recorded it. The session is stored like any
	// other but does not count.
	Unfit Revised[[]newel.Condition]

	// Contract version 2 begins here.

	HappenedOn   Revised[newel.Day]       // the local date, of a session that was entered afterward
	About        Revised[About]           // roughly when on that date
	PlaceName    Revised[string]          // of a place that the phone made; Place is its id
	PlaceSort    Revised[newel.PlaceSort] // of that place
	Estimated    Revised[[]int]           // numbers of the durations whose end was estimated, from 1
	IntervalKind Revised[measure.IntervalKind]
	IntervalMS   Revised[int64]
	// Unseen holds the numbers of the intervals that nobody observed, from 1.
	// Intervals has only the others, in order.
	Unseen Revised[[]int]
	Clock  Revised[CountClock] // whether a clock ran while events were counted
	Note   Revised[string]     // one line by the person who recorded it
}

// FieldName is the JSON name of a header field.
type FieldName string

// fieldSpec reads and writes one header field by name, so that merging and
// amending share one list.
type fieldSpec struct {
	name     FieldName
	required bool
	// since is the contract version that introduced the field.
	since int
	// set reads a JSON value into the header; nil clears the field.
	set func(h *Header, rev int, value *node) error
	// get returns the revision and canonical value, "" if there is none.
	get func(h Header) (rev int, value string)
}

func specOf[T any](name FieldName, required bool, at func(*Header) *Revised[T], read func(node) (T, error)) fieldSpec {
	return fieldSpec{
		name:     name,
		required: required,
		since:    1,
		set: func(h *Header, rev int, value *node) error {
			if value == nil {
				*at(h) = Revised[T]{Rev: rev}
				return nil
			}
			v, err := read(*value)
			if err != nil {
				return err
			}
			*at(h) = Rev(rev, v)
			return nil
		},
		get: func(h Header) (int, string) {
			r := *at(&h)
			if r.Value == nil {
				return r.Rev, ""
			}
			return r.Rev, canonical(*r.Value)
		},
	}
}

// fieldSpecs lists the fields in output order.
var fieldSpecs = []fieldSpec{
	specOf("by", true, func(h *Header) *Revised[newel.PersonID] { return &h.By }, readID[newel.PersonID]),
	specOf("kind", true, func(h *Header) *Revised[Kind] { return &h.Kind }, func(n node) (Kind, error) {
		return oneOf(n, Teaching, Probe, Baseline, Maintenance)
	}),
	specOf("how", true, func(h *Header) *Revised[How] { return &h.How }, func(n node) (How, error) {
		return oneOf(n, Live, Afterwards)
	}),
	specOf("planned_help", false, func(h *Header) *Revised[string] { return &h.PlannedHelp }, readText),
	specOf("ended_early", false, func(h *Header) *Revised[Ending] { return &h.EndedEarly }, func(n node) (Ending, error) {
		return oneOf(n, EndedInTime, EndedDistress, EndedOther)
	}),
	specOf("place", false, func(h *Header) *Revised[string] { return &h.Place }, readText),
	specOf("present", false, func(h *Header) *Revised[[]string] { return &h.Present }, listOf(MaxPresent, readText)),
	specOf("count", false, func(h *Header) *Revised[int64] { return &h.Count }, func(n node) (int64, error) {
		return n.integer(0, MaxCount)
	}),
	specOf("observed_ms", false, func(h *Header) *Revised[int64] { return &h.ObservedMS }, readOffset),
	specOf("durations_ms", false, func(h *Header) *Revised[[]int64] { return &h.DurationsMS }, listOf(MaxMeasured, readOffset)),
	specOf("intervals", false, func(h *Header) *Revised[[]bool] { return &h.Intervals }, listOf(MaxMeasured, node.bool)),
	specOf("unfit", false, func(h *Header) *Revised[[]newel.Condition] { return &h.Unfit }, listOf(len(newel.Conditions), func(n node) (newel.Condition, error) {
		return oneOf(n, newel.Conditions...)
	})),
	specSince2("happened_on", func(h *Header) *Revised[newel.Day] { return &h.HappenedOn }, readDay),
	specSince2("about", func(h *Header) *Revised[About] { return &h.About }, readAbout),
	specSince2("place_name", func(h *Header) *Revised[string] { return &h.PlaceName }, readText),
	specSince2("place_sort", func(h *Header) *Revised[newel.PlaceSort] { return &h.PlaceSort }, func(n node) (newel.PlaceSort, error) {
		return oneOf(n, newel.PlaceSorts...)
	}),
	specSince2("estimated", func(h *Header) *Revised[[]int] { return &h.Estimated }, readNumbers),
	specSince2("interval_kind", func(h *Header) *Revised[measure.IntervalKind] { return &h.IntervalKind }, func(n node) (measure.IntervalKind, error) {
		return oneOf(n, measure.IntervalKinds...)
	}),
	specSince2("interval_ms", func(h *Header) *Revised[int64] { return &h.IntervalMS }, func(n node) (int64, error) {
		return n.integer(1, maxLatencyMS)
	}),
	specSince2("unseen", func(h *Header) *Revised[[]int] { return &h.Unseen }, readNumbers),
	specSince2("clock", func(h *Header) *Revised[CountClock] { return &h.Clock }, func(n node) (CountClock, error) {
		return oneOf(n, ClockUsed, ClockNone)
	}),
	specSince2("note", func(h *Header) *Revised[string] { return &h.Note }, readText),
}

func specSince2[T any](name FieldName, at func(*Header) *Revised[T], read func(node) (T, error)) fieldSpec {
	s := specOf(name, false, at, read)
	s.since = 2
	return s
}

// readNumbers reads numbers from 1, in ascending order, each once.
func readNumbers(n node) ([]int, error) {
	numbers, err := listOf(MaxMeasured, intFrom(1, 2*MaxMeasured))(n)
	for i := 1; err == nil && i < len(numbers); i++ {
		if numbers[i] <= numbers[i-1] {
			err = n.fail("must be in ascending order, each number once")
		}
	}
	return numbers, err
}

func readDay(n node) (newel.Day, error) {
	s, _ := n.value.(string)
	d, err := newel.ParseDay(s)
	if err != nil || d.IsZero() {
		return newel.Day{}, n.fail("must be a date like 2026-03-09")
	}
	return d, nil
}

func readAbout(n node) (About, error) {
	s, _ := n.value.(string)
	if t, err := time.Parse("15:04", s); err == nil && t.Format("15:04") == s {
		return About(s), nil
	}
	if _, err := oneOf(n, Morning, Midday, Afternoon, Evening); err != nil {
		return "", n.fail("must be morning, midday, afternoon, evening, or a time like 17:30")
	}
	return About(s), nil
}

func specNamed(name FieldName) (fieldSpec, bool) {
	for _, s := range fieldSpecs {
		if s.name == name {
			return s, true
		}
	}
	return fieldSpec{}, false
}

func readText(n node) (string, error) { return n.text(MaxText) }

func readOffset(n node) (int64, error) { return n.integer(0, MaxOffset) }

func listOf[T any](most int, read func(node) (T, error)) func(node) ([]T, error) {
	return func(n node) ([]T, error) {
		items, err := n.list(most)
		if err != nil {
			return nil, err
		}
		out := make([]T, len(items))
		for i, item := range items {
			if out[i], err = read(item); err != nil {
				return nil, err
			}
		}
		return out, nil
	}
}

// readHeader reads the whole header of a document.
func readHeader(n node) (Header, error) {
	var h Header
	o, err := n.object()
	if err != nil {
		return h, err
	}
	for _, s := range fieldSpecs {
		field, ok := o.may(string(s.name))
		if !ok {
			if s.required {
				return h, &InvalidError{join(o.path, string(s.name)), "is missing"}
			}
			continue
		}
		if err := readField(&h, s, field); err != nil {
			return h, err
		}
	}
	return h, o.done()
}

func readField(h *Header, s fieldSpec, n node) error {
	o, err := n.object()
	if err != nil {
		return err
	}
	rev, err := readRev(o)
	if err != nil {
		return err
	}
	value, ok := o.may("value")
	switch {
	case ok:
		err = s.set(h, rev, &value)
	case s.required:
		err = &InvalidError{join(o.path, "value"), "is missing"}
	default:
		err = s.set(h, rev, nil)
	}
	if err != nil {
		return err
	}
	return o.done()
}

func readRev(o *object) (int, error) {
	n, err := o.need("rev")
	if err != nil {
		return 0, err
	}
	rev, err := n.integer(1, MaxRev)
	return int(rev), err
}

// MarshalJSON returns the fields that were ever set, in a fixed order.
func (h Header) MarshalJSON() ([]byte, error) {
	type field struct {
		Rev   int             `json:"rev"`
		Value json.RawMessage `json:"value,omitempty"`
	}
	out := []byte{'{'}
	for _, s := range fieldSpecs {
		rev, value := s.get(h)
		if rev == 0 {
			continue
		}
		if len(out) > 1 {
			out = append(out, ',')
		}
		out = fmt.Appendf(out, "%q:%s", s.name, canonical(field{rev, json.RawMessage(value)}))
	}
	return append(out, '}'), nil
}
