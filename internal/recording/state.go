package recording

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"newel/internal/newel"
)

// fact is one thing that a phone reported: a revision of a header field or of a
// trial. Facts are equal if all four fields are. They are never changed or
// removed.
type fact struct {
	Field FieldName // empty for a trial
	N     int       // number of the trial; 0 for a field
	Rev   int
	Value string // canonical JSON; empty for a cleared field
}

// slot is what a fact is about.
type slot struct {
	Field FieldName
	N     int
}

func (f fact) slot() slot { return slot{f.Field, f.N} }

func compareFacts(a, b fact) int {
	switch {
	case a.Field != b.Field:
		// Trials (no field) sort after fields.
		if a.Field == "" || b.Field == "" {
			return strings.Compare(string(b.Field), string(a.Field))
		}
		return strings.Compare(string(a.Field), string(b.Field))
	case a.N != b.N:
		return a.N - b.N
	case a.Rev != b.Rev:
		return a.Rev - b.Rev
	}
	return strings.Compare(a.Value, b.Value)
}

// State is everything that has arrived for one recording: sets of facts, of
// origins and of closing documents. The zero State is empty. A State is
// immutable.
type State struct {
	id       newel.RecordingID
	origins  []string // canonical Origin, ascending
	facts    []fact   // ascending
	closings []string // canonical Document, ascending
}

// ID returns the recording's id; zero for the zero State.
func (s State) ID() newel.RecordingID { return s.id }

// Of returns the state after a single document has arrived.
func Of(d Document) State {
	s := State{id: d.ID, origins: []string{canonical(d.Origin)}, facts: factsOf(d)}
	if d.Closing != nil {
		s.closings = []string{canonical(d)}
	}
	return s
}

// factsOf splits a document into facts, in ascending order.
func factsOf(d Document) []fact {
	facts := make([]fact, 0, len(fieldSpecs)+len(d.Trials))
	for _, spec := range fieldSpecs {
		if rev, value := spec.get(d.Header); rev > 0 {
			facts = append(facts, fact{Field: spec.name, Rev: rev, Value: value})
		}
	}
	for _, t := range d.Trials {
		facts = append(facts, factOf(t))
	}
	slices.SortFunc(facts, compareFacts)
	return facts
}

// mark is a trial without its number and revision.
type mark struct {
	AtMS   int64   `json:"at_ms"`
	Answer *Answer `json:"answer,omitempty"`
	Void   bool    `json:"void,omitempty"`
}

func factOf(t Trial) fact {
	return fact{N: t.N, Rev: t.Rev, Value: canonical(mark{t.AtMS, t.Answer, t.Void})}
}

// trial converts a fact back to the trial it came from.
func (f fact) trial() Trial {
	var m mark
	mustRead(f.Value, &m)
	return Trial{N: f.N, Rev: f.Rev, AtMS: m.AtMS, Answer: m.Answer, Void: m.Void}
}

// mustRead parses a value that this package wrote or checked itself.
func mustRead(value string, into any) {
	if err := json.Unmarshal([]byte(value), into); err != nil {
		panic(fmt.Sprintf("recording: a checked value cannot be read: %v", err))
	}
}

// ErrOther is returned when states of different recordings are merged.
var ErrOther = errors.New("these are two different recordings")

// Merge returns the union of both states. It is commutative, associative and
// idempotent; the zero State is its identity.
func Merge(a, b State) (State, error) {
	switch {
	case a.id.IsZero():
		return b, nil
	case b.id.IsZero():
		return a, nil
	case a.id != b.id:
		return State{}, fmt.Errorf("merge %s with %s: %w", a.id, b.id, ErrOther)
	}
	return State{
		id:       a.id,
		origins:  union(a.origins, b.origins, strings.Compare),
		facts:    union(a.facts, b.facts, compareFacts),
		closings: union(a.closings, b.closings, strings.Compare),
	}, nil
}

// union merges two ascending lists into a third without duplicates.
func union[T any](a, b []T, compare func(T, T) int) []T {
	out := make([]T, 0, len(a)+len(b))
	for len(a) > 0 && len(b) > 0 {
		switch c := compare(a[0], b[0]); {
		case c < 0:
			out, a = append(out, a[0]), a[1:]
		case c > 0:
			out, b = append(out, b[0]), b[1:]
		default:
			out, a, b = append(out, a[0]), a[1:], b[1:]
		}
	}
	return append(append(out, a...), b...)
}

// Equal reports whether both states contain the same.
func (s State) Equal(o State) bool {
	return s.id == o.id && slices.Equal(s.origins, o.origins) &&
		slices.Equal(s.facts, o.facts) && slices.Equal(s.closings, o.closings)
}

// Contains reports whether s contains everything in o, so that merging o into s
// would change nothing.
func (s State) Contains(o State) bool {
	m, err := Merge(s, o)
	return err == nil && m.Equal(s)
}

// SafeThrough returns the largest n such that every trial from 1 to n has
// arrived in some revision.
func (s State) SafeThrough() int {
	n := 0
	for _, f := range s.facts {
		if f.N == n+1 {
			n++
		}
	}
	return n
}

// factJSON is the stored form of a fact.
type factJSON struct {
	Field FieldName       `json:"field,omitempty"`
	N     int             `json:"n,omitempty"`
	Rev   int             `json:"rev"`
	Value json.RawMessage `json:"value,omitempty"`
}

// stateJSON is the stored form of a State.
type stateJSON struct {
	ID       newel.RecordingID `json:"id"`
	Origins  []json.RawMessage `json:"origins"`
	Facts    []factJSON        `json:"facts"`
	Closings []json.RawMessage `json:"closings"`
}

// MarshalJSON returns the state in its stored form. A database may respace,
// reorder and re-escape it; UnmarshalJSON restores the canonical form.
func (s State) MarshalJSON() ([]byte, error) {
	out := stateJSON{ID: s.id, Origins: raws(s.origins), Facts: make([]factJSON, len(s.facts)), Closings: raws(s.closings)}
	for i, f := range s.facts {
		out.Facts[i] = factJSON{f.Field, f.N, f.Rev, json.RawMessage(f.Value)}
	}
	return []byte(canonical(out)), nil
}

func raws(values []string) []json.RawMessage {
	out := make([]json.RawMessage, len(values))
	for i, v := range values {
		out[i] = json.RawMessage(v)
	}
	return out
}

// UnmarshalJSON reads a stored state as strictly as a document: a damaged row
// is an error, not a recording with fewer answers.
func (s *State) UnmarshalJSON(b []byte) error {
	root, err := parse(b)
	if err != nil {
		return fmt.Errorf("stored recording: %w", err)
	}
	out, err := readState(root)
	if err != nil {
		return fmt.Errorf("stored recording: %w", err)
	}
	*s = out
	return nil
}

// unlimited is more than any stored list can hold; the store limits size in
// bytes instead.
const unlimited = 1 << 30

func readState(n node) (State, error) {
	var s State
	o, err := n.object()
	if err != nil {
		return s, err
	}
	id, err := readNeeded(o, "id", func(n node) (newel.RecordingID, error) {
		if n.value == (newel.RecordingID{}).String() {
			return newel.RecordingID{}, nil
		}
		return readRecordingID(n)
	})
	if err != nil {
		return s, err
	}
	s.id = id
	if s.origins, err = readNeeded(o, "origins", listOf(unlimited, readKeptOrigin)); err != nil {
		return s, err
	}
	if s.facts, err = readNeeded(o, "facts", listOf(unlimited, readFact)); err != nil {
		return s, err
	}
	if s.closings, err = readNeeded(o, "closings", listOf(unlimited, readKeptClosing)); err != nil {
		return s, err
	}
	s.origins = ascending(s.origins, strings.Compare)
	s.facts = ascending(s.facts, compareFacts)
	s.closings = ascending(s.closings, strings.Compare)
	return s, o.done()
}

func ascending[T comparable](list []T, compare func(T, T) int) []T {
	slices.SortFunc(list, compare)
	return slices.Compact(list)
}

func readKeptOrigin(n node) (string, error) {
	o, err := n.object()
	if err != nil {
		return "", err
	}
	g, err := readOrigin(o)
	if err != nil {
		return "", err
	}
	return canonical(g), o.done()
}

func readKeptClosing(n node) (string, error) {
	d, err := readDocument(n)
	if err == nil && d.Closing == nil {
		err = n.fail("is not a closing document")
	}
	return canonical(d), err
}

func readFact(n node) (fact, error) {
	o, err := n.object()
	if err != nil {
		return fact{}, err
	}
	rev, err := readRev(o)
	if err != nil {
		return fact{}, err
	}
	field, isField := o.may("field")
	if !isField {
		return readTrialFact(o, rev)
	}
	name, err := field.text(MaxText)
	if err != nil {
		return fact{}, err
	}
	spec, ok := specNamed(FieldName(name))
	if !ok {
		return fact{}, field.fail("is not a field of a header")
	}
	return readFieldFact(o, spec, rev)
}

func readFieldFact(o *object, spec fieldSpec, rev int) (fact, error) {
	var h Header
	var value *node
	if n, ok := o.may("value"); ok {
		value = &n
	}
	if err := spec.set(&h, rev, value); err != nil {
		return fact{}, err
	}
	_, text := spec.get(h)
	return fact{Field: spec.name, Rev: rev, Value: text}, o.done()
}

func readTrialFact(o *object, rev int) (fact, error) {
	number, err := readNeeded(o, "n", intFrom(1, MaxTrials))
	if err != nil {
		return fact{}, err
	}
	t, err := readNeeded(o, "value", func(n node) (Trial, error) {
		t := Trial{N: number, Rev: rev}
		inner, err := n.object()
		if err != nil {
			return t, err
		}
		if err := readMark(inner, &t); err != nil {
			return t, err
		}
		return t, inner.done()
	})
	if err != nil {
		return fact{}, err
	}
	return factOf(t), o.done()
}

// hashText identifies content by the start of its SHA-256.
func hashText(value string) string {
	sum := sha256.Sum256([]byte(value))
	return hex.EncodeToString(sum[:8])
}

// FirstTap returns when a trial was first answered, in ms from the start of the
// session. A correction does not change it. ok is false if the trial's first
// revision has not arrived.
func (s State) FirstTap(n int) (atMS int64, ok bool) {
	for _, f := range s.facts {
		if f.N != n || f.Rev != 1 {
			continue
		}
		if tap := f.trial().AtMS; !ok || tap < atMS {
			atMS, ok = tap, true
		}
	}
	return atMS, ok
}
