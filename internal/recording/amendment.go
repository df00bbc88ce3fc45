package recording

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"newel/internal/newel"
)

// Amendment is a change made to a recording after it was closed, with the
// person's reason. Amendments are never changed or removed; another amendment
// can undo one.
type Amendment struct {
	ID     newel.AmendmentID
	Author newel.AccountID
	At     time.Time
	Reason string
	Change Change
}

// MaxReason is the maximum length of a reason in characters.
const MaxReason = 500

// ChangeKind is what an amendment does.
type ChangeKind string

// The kinds of change.
const (
	ChangeAnswer   ChangeKind = "answer"    // replaces the answer of trial N; a void trial counts again
	ChangeVoid     ChangeKind = "void"      // excludes trial N
	ChangeJoin     ChangeKind = "join"      // moves a surplus trial or field into its place
	ChangeSetAside ChangeKind = "set_aside" // settles something surplus: it stays excluded
	ChangeField    ChangeKind = "field"     // replaces the value of a header field
	ChangeSession  ChangeKind = "void_all"  // excludes the whole session
	ChangeUndo     ChangeKind = "undo"      // undoes another amendment
)

// Change is what an amendment does. Use the functions below to make one.
type Change struct {
	Kind   ChangeKind
	N      int               // answer, void
	Answer *Answer           // answer
	Ref    Ref               // join, set_aside
	Field  FieldName         // field
	Value  string            // field: canonical JSON; empty clears the value
	Undo   newel.AmendmentID // undo
}

// GiveAnswer returns a Change that replaces a trial's answer.
func GiveAnswer(n int, a Answer) Change { return Change{Kind: ChangeAnswer, N: n, Answer: &a} }

// VoidTrial returns a Change that excludes a trial.
func VoidTrial(n int) Change { return Change{Kind: ChangeVoid, N: n} }

// Join returns a Change that includes something surplus.
func Join(ref Ref) Change { return Change{Kind: ChangeJoin, Ref: ref} }

// SetAside returns a Change that settles something surplus without counting it.
func SetAside(ref Ref) Change { return Change{Kind: ChangeSetAside, Ref: ref} }

// VoidSession returns a Change that excludes the whole session.
func VoidSession() Change { return Change{Kind: ChangeSession} }

// Undo returns a Change that undoes an amendment.
func Undo(id newel.AmendmentID) Change { return Change{Kind: ChangeUndo, Undo: id} }

// SetField returns a Change to a header field. value is JSON as in the header's
// "value"; an empty value clears the field. An error it returns is an
// *InvalidError.
func SetField(name FieldName, value []byte) (Change, error) {
	c := changeJSON{Kind: ChangeField, Field: name, Value: value}
	return ParseChange([]byte(canonical(c)))
}

// changeJSON is the stored form of a Change.
type changeJSON struct {
	Kind   ChangeKind      `json:"kind"`
	N      int             `json:"n,omitempty"`
	Answer *Answer         `json:"answer,omitempty"`
	Ref    Ref             `json:"ref,omitempty"`
	Field  FieldName       `json:"field,omitempty"`
	Value  json.RawMessage `json:"value,omitempty"`
	Undo   string          `json:"undo,omitempty"`
}

// MarshalJSON returns the change in its stored form.
func (c Change) MarshalJSON() ([]byte, error) {
	out := changeJSON{c.Kind, c.N, c.Answer, c.Ref, c.Field, json.RawMessage(c.Value), ""}
	if !c.Undo.IsZero() {
		out.Undo = c.Undo.String()
	}
	return []byte(canonical(out)), nil
}

// UnmarshalJSON reads a stored change.
func (c *Change) UnmarshalJSON(b []byte) error {
	out, err := ParseChange(b)
	if err != nil {
		return fmt.Errorf("stored amendment: %w", err)
	}
	*c = out
	return nil
}

// ParseChange parses a change strictly. An error it returns is an
// *InvalidError.
func ParseChange(body []byte) (Change, error) {
	root, err := parse(body)
	if err != nil {
		return Change{}, err
	}
	o, err := root.object()
	if err != nil {
		return Change{}, err
	}
	c, err := readChange(o)
	if err != nil {
		return Change{}, err
	}
	return c, o.done()
}

func readChange(o *object) (Change, error) {
	var c Change
	var err error
	if c.Kind, err = readNeeded(o, "kind", func(n node) (ChangeKind, error) {
		return oneOf(n, ChangeAnswer, ChangeVoid, ChangeJoin, ChangeSetAside, ChangeField, ChangeSession, ChangeUndo)
	}); err != nil {
		return c, err
	}
	switch c.Kind {
	case ChangeAnswer:
		if c.N, err = readNeeded(o, "n", intFrom(1, MaxTrials)); err == nil {
			var a Answer
			a, err = readNeeded(o, "answer", readAnswer)
			c.Answer = &a
		}
	case ChangeVoid:
		c.N, err = readNeeded(o, "n", intFrom(1, MaxTrials))
	case ChangeJoin, ChangeSetAside:
		var ref string
		ref, err = readNeeded(o, "ref", readName)
		c.Ref = Ref(ref)
	case ChangeField:
		err = readFieldChange(o, &c)
	case ChangeUndo:
		c.Undo, err = readNeeded(o, "undo", readID[newel.AmendmentID])
	}
	return c, err
}

func readFieldChange(o *object, c *Change) error {
	n, err := o.need("field")
	if err != nil {
		return err
	}
	name, err := n.text(MaxText)
	if err != nil {
		return err
	}
	spec, ok := specNamed(FieldName(name))
	if !ok {
		return n.fail("is not a field of a header")
	}
	c.Field = spec.name
	value, ok := o.may("value")
	if !ok {
		if spec.required {
			return &InvalidError{join(o.path, "value"), "is missing"}
		}
		return nil
	}
	var h Header
	if err := spec.set(&h, 1, &value); err != nil {
		return err
	}
	_, c.Value = spec.get(h)
	return nil
}

// Check validates an amendment against the current view. known holds the ids of
// the amendments made so far. An error it returns is an *InvalidError whose
// path is the amendment's field.
func Check(v View, known []newel.AmendmentID, a Amendment) error {
	if strings.TrimSpace(a.Reason) == "" {
		return &InvalidError{"reason", "is missing: say why the recording is changed"}
	}
	if utf8.RuneCountInString(a.Reason) > MaxReason {
		return &InvalidError{"reason", fmt.Sprintf("has more than %d characters", MaxReason)}
	}
	c := a.Change
	if !v.Closed && c.Kind != ChangeSession && c.Kind != ChangeUndo {
		return &InvalidError{"change", "the recording is still open: its phone can correct it, an amendment cannot"}
	}
	return checkChange(v, known, c)
}

func checkChange(v View, known []newel.AmendmentID, c Change) error {
	switch c.Kind {
	case ChangeAnswer, ChangeVoid:
		if v.trial(c.N) == nil {
			return &InvalidError{"n", fmt.Sprintf("there is no trial %d", c.N)}
		}
	case ChangeJoin, ChangeSetAside:
		s, ok := v.find(c.Ref)
		if !ok {
			return &InvalidError{"ref", "no surplus item has this reference"}
		}
		if c.Kind == ChangeJoin && s.Trial == nil && s.Field == nil {
			return &InvalidError{"ref", "a whole closing or origin cannot be joined; set it aside"}
		}
	case ChangeUndo:
		for _, id := range known {
			if id == c.Undo {
				return nil
			}
		}
		return &InvalidError{"undo", "there is no such amendment"}
	}
	return nil
}
