package recording

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"newel/internal/newel"
)

// Amendment is a change made to a recording after it was closed, by a person
// who says why. Amendments are never changed or removed; one is taken back by
// another that undoes it.
type Amendment struct {
	ID     newel.AmendmentID
	Author newel.AccountID
	At     time.Time
	Reason string
	Change Change
}

// MaxReason is how many characters a reason may have.
const MaxReason = 500

// ChangeKind says what an amendment does.
type ChangeKind string

// The kinds of change.
const (
	ChangeAnswer   ChangeKind = "answer"    // gives trial N another answer; a void one counts again
	ChangeVoid     ChangeKind = "void"      // leaves trial N out
	ChangeJoin     ChangeKind = "join"      // takes a surplus trial or field in, at its own place
	ChangeSetAside ChangeKind = "set_aside" // settles something surplus: it stays out
	ChangeField    ChangeKind = "field"     // gives a header field another value
	ChangeSession  ChangeKind = "void_all"  // leaves the whole session out
	ChangeUndo     ChangeKind = "undo"      // takes another amendment back
)

// Change is what an amendment does. Use the functions below to make one.
type Change struct {
	Kind   ChangeKind
	N      int               // answer, void
	Answer *Answer           // answer
	Ref    Ref               // join, set_aside
	Field  FieldName         // field
	Value  string            // field: canonical JSON; empty takes the value back
	Undo   newel.AmendmentID // undo
}

// GiveAnswer changes a trial's answer.
func GiveAnswer(n int, a Answer) Change { return Change{Kind: ChangeAnswer, N: n, Answer: &a} }

// VoidTrial leaves a trial out.
func VoidTrial(n int) Change { return Change{Kind: ChangeVoid, N: n} }

// Join takes something surplus in.
func Join(ref Ref) Change { return Change{Kind: ChangeJoin, Ref: ref} }

// SetAside settles something surplus without counting it.
func SetAside(ref Ref) Change { return Change{Kind: ChangeSetAside, Ref: ref} }

// VoidSession leaves the whole session out.
func VoidSession() Change { return Change{Kind: ChangeSession} }

// Undo takes an amendment back.
func Undo(id newel.AmendmentID) Change { return Change{Kind: ChangeUndo, Undo: id} }

// SetField changes a header field; value is JSON as in the header's "value",
// and nothing takes the value back. The error is an *InvalidError.
func SetField(name FieldName, value []byte) (Change, error) {
	c := changeJSON{Kind: ChangeField, Field: name, Value: value}
	return ParseChange([]byte(canonical(c)))
}

// changeJSON is a change as it is stored.
type changeJSON struct {
	Kind   ChangeKind      `json:"kind"`
	N      int             `json:"n,omitempty"`
	Answer *Answer         `json:"answer,omitempty"`
	Ref    Ref             `json:"ref,omitempty"`
	Field  FieldName       `json:"field,omitempty"`
	Value  json.RawMessage `json:"value,omitempty"`
	Undo   string          `json:"undo,omitempty"`
}

// MarshalJSON writes the change for keeping.
func (c Change) MarshalJSON() ([]byte, error) {
	out := changeJSON{c.Kind, c.N, c.Answer, c.Ref, c.Field, json.RawMessage(c.Value), ""}
	if !c.Undo.IsZero() {
		out.Undo = c.Undo.String()
	}
	return []byte(canonical(out)), nil
}

// UnmarshalJSON reads a kept change.
func (c *Change) UnmarshalJSON(b []byte) error {
	out, err := ParseChange(b)
	if err != nil {
		return fmt.Errorf("kept amendment: %w", err)
	}
	*c = out
	return nil
}

// ParseChange reads a change strictly; errors are *InvalidError.
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

// Check says whether an amendment can be added to what a person sees now.
// known are the ids of the amendments made so far. Errors are *InvalidError
// with the field of the amendment as path.
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
			return &InvalidError{"ref", "nothing kept beside the recording has this name"}
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
