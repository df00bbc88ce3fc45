package recording

import (
	"encoding/json"
	"fmt"

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
}

// FieldName is the JSON name of a header field.
type FieldName string

// fieldSpec reads and writes one header field by name, so that merging and
// amending share one list.
type fieldSpec struct {
	name     FieldName
	required bool
	// set reads a JSON value into the header; nil clears the field.
	set func(h *Header, rev int, value *node) error
	// get returns the revision and canonical value, "" if there is none.
	get func(h Header) (rev int, value string)
}

func specOf[T any](name FieldName, required bool, at func(*Header) *Revised[T], read func(node) (T, error)) fieldSpec {
	return fieldSpec{
		name:     name,
		required: required,
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
