// Package strict decodes JSON from outside: the documents of newel compute, and
// what phones send. An unknown name, a duplicate name or a value of the wrong
// type is an error that names its path, and so is anything that follows the
// document or is nested too deeply. Numbers stay exact.
package strict

import (
	"bytes"
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"newel/internal/exact"
)

// Decoder reads JSON token by token and tracks its path. encoding/json matches
// names case-insensitively, keeps the last of duplicate names and reports no
// path; each of these could silently change a status.
type Decoder struct {
	json     *json.Decoder
	path     []segment
	maxDepth int
}

type segment struct {
	name  string
	index int // -1: it is a name
}

// MaxDepth is how deeply Read lets values be nested. No document of Newel comes
// near it.
const MaxDepth = 32

// SyntaxError reports input that is not JSON, or only the beginning of it.
type SyntaxError struct{ Err error }

// Error returns the reason as text.
func (e *SyntaxError) Error() string { return e.Err.Error() }

// Unwrap returns the reason.
func (e *SyntaxError) Unwrap() error { return e.Err }

// Read decodes one JSON document with read and makes sure that nothing follows
// it. An error it returns is an *Error. The caller limits the size.
func Read(b []byte, read func(d *Decoder) error) error { return ReadWithin(MaxDepth, b, read) }

// ReadWithin is like Read with another limit of depth.
func ReadWithin(maxDepth int, b []byte, read func(d *Decoder) error) error {
	if !utf8.Valid(b) {
		return &Error{Err: errors.New("the input is not UTF-8")}
	}
	d := &Decoder{json: json.NewDecoder(bytes.NewReader(b)), maxDepth: maxDepth}
	d.json.UseNumber()
	if err := read(d); err != nil {
		if errors.Is(err, errNull) {
			return d.mismatch("an object", nil)
		}
		return err
	}
	if _, err := d.json.Token(); !errors.Is(err, io.EOF) {
		return d.Failed("unexpected data after the end of the document")
	}
	return nil
}

// Failed returns an error about the decoder's current position.
func (d *Decoder) Failed(format string, args ...any) error {
	return d.Wrap(fmt.Errorf(format, args...))
}

// Wrap turns err into an error about the decoder's current position.
func (d *Decoder) Wrap(err error) error { return &Error{Path: d.Path(), Err: err} }

// Path returns the decoder's current position, such as
// sessions[3].trials[0].outcome.
func (d *Decoder) Path() string {
	var b strings.Builder
	for _, s := range d.path {
		if s.index >= 0 {
			b.WriteString("[" + strconv.Itoa(s.index) + "]")
			continue
		}
		if b.Len() > 0 {
			b.WriteByte('.')
		}
		b.WriteString(s.name)
	}
	return b.String()
}

func (d *Decoder) token() (json.Token, error) {
	if len(d.path) > d.maxDepth {
		return nil, d.Failed("nested more than %d deep", d.maxDepth)
	}
	t, err := d.json.Token()
	return t, d.syntax(err)
}

// syntax turns an error of encoding/json into one about the current position.
func (d *Decoder) syntax(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return d.Wrap(&SyntaxError{errors.New("the document ends too early")})
	}
	return d.Wrap(&SyntaxError{fmt.Errorf("not JSON near byte %d: %w", d.json.InputOffset(), err)})
}

// errNull reports null, which is treated like a missing field.
var errNull = errors.New("null")

// Object reads an object and calls field for every name whose value is not
// null. It returns an error if a name in required is missing.
func (d *Decoder) Object(required []string, field func(name string) error) error {
	err := d.ObjectOrNull(required, field)
	if errors.Is(err, errNull) {
		return d.mismatch("an object", nil)
	}
	return err
}

// ObjectOrNull is like Object but also accepts null, for which it returns
// errNull.
func (d *Decoder) ObjectOrNull(required []string, field func(name string) error) error {
	t, err := d.token()
	if err != nil {
		return err
	}
	if t == nil {
		return errNull
	}
	if t != json.Delim('{') {
		return d.mismatch("an object", t)
	}
	return d.fields(required, field)
}

// fields reads an object after its brace.
func (d *Decoder) fields(required []string, field func(name string) error) error {
	present := map[string]bool{} // false: null
	for d.json.More() {
		t, err := d.token()
		if err != nil {
			return err
		}
		name, _ := t.(string)
		d.path = append(d.path, segment{name: name, index: -1})
		if _, twice := present[name]; twice {
			return d.Failed("this field appears twice")
		}
		err = field(name)
		if err != nil && !errors.Is(err, errNull) {
			return err
		}
		present[name] = err == nil
		d.path = d.path[:len(d.path)-1]
	}
	if _, err := d.token(); err != nil {
		return err
	}
	for _, name := range required {
		if !present[name] {
			d.path = append(d.path, segment{name: name, index: -1})
			return d.Failed("this field is required")
		}
	}
	return nil
}

// Any reads a value of any kind. For an object or a list it calls field or
// element as Object and Array do and returns the opening json.Delim. It returns
// any other value itself, and null as nil.
func (d *Decoder) Any(field func(name string) error, element func() error) (json.Token, error) {
	t, err := d.token()
	if err != nil {
		return nil, err
	}
	switch t {
	case json.Delim('{'):
		err = d.fields(nil, field)
	case json.Delim('['):
		err = d.elements(element)
	}
	return t, err
}

// Skip reads and discards any value, for documents that are read in two passes.
// For null it returns errNull.
func (d *Decoder) Skip() error {
	t, err := d.Any(func(string) error { return d.skipInner() }, d.skipInner)
	if err == nil && t == nil {
		return errNull
	}
	return err
}

func (d *Decoder) skipInner() error {
	_, err := d.Any(func(string) error { return d.skipInner() }, d.skipInner)
	return err
}

// Raw reads any value as it was written, for a document inside another one: the
// inner one is decoded, and refused, on its own.
func (d *Decoder) Raw(into *json.RawMessage) error { return d.syntax(d.json.Decode(into)) }

// Unknown returns the error for a field that does not exist here.
func (d *Decoder) Unknown() error { return d.Failed("there is no such field") }

// Array reads an array and calls element for each element. For null it returns
// errNull.
func (d *Decoder) Array(element func() error) error {
	t, err := d.token()
	if err != nil {
		return err
	}
	if t == nil {
		return errNull
	}
	if t != json.Delim('[') {
		return d.mismatch("a list", t)
	}
	return d.elements(element)
}

// elements reads a list after its bracket.
func (d *Decoder) elements(element func() error) error {
	d.path = append(d.path, segment{})
	for d.json.More() {
		if err := element(); err != nil {
			if errors.Is(err, errNull) {
				return d.Failed("null is not allowed in a list")
			}
			return err
		}
		d.path[len(d.path)-1].index++
	}
	d.path = d.path[:len(d.path)-1]
	_, err := d.token()
	return err
}

func (d *Decoder) mismatch(want string, got json.Token) error {
	switch got := got.(type) {
	case json.Delim:
		if got == '{' {
			return d.Failed("must be %s, not an object", want)
		}
		return d.Failed("must be %s, not a list", want)
	case string:
		return d.Failed("must be %s, not a text", want)
	case json.Number:
		return d.Failed("must be %s, not a number", want)
	case bool:
		return d.Failed("must be %s, not true or false", want)
	}
	return d.Failed("must be %s, not null", want)
}

// scalar reads a value of type T that is neither an object nor a list.
func scalar[T any](d *Decoder, want string) (v T, err error) {
	t, err := d.token()
	if err != nil {
		return v, err
	}
	if t == nil {
		return v, errNull
	}
	v, ok := t.(T)
	if !ok {
		return v, d.mismatch(want, t)
	}
	return v, nil
}

// Text reads a string.
func (d *Decoder) Text(into *string) (err error) {
	*into, err = scalar[string](d, "a text")
	return err
}

// Parsed reads a string with a form of its own, such as an id or a moment.
func (d *Decoder) Parsed(into encoding.TextUnmarshaler) error {
	var s string
	if err := d.Text(&s); err != nil {
		return err
	}
	if err := into.UnmarshalText([]byte(s)); err != nil {
		return d.Wrap(err)
	}
	return nil
}

// Boolean reads true or false.
func (d *Decoder) Boolean(into *bool) (err error) {
	*into, err = scalar[bool](d, "true or false")
	return err
}

// Number reads an exact number.
func (d *Decoder) Number(into *exact.Rat) error {
	n, err := scalar[json.Number](d, "a number")
	if err != nil {
		return err
	}
	*into, err = exact.ParseJSON(n.String())
	if err != nil {
		return d.Wrap(err)
	}
	return nil
}

// OptionalNumber reads an exact number, or null as nil.
func (d *Decoder) OptionalNumber(into **exact.Rat) error {
	var n exact.Rat
	if err := d.Number(&n); err != nil {
		return err
	}
	*into = &n
	return nil
}

// Whole reads a whole number.
func (d *Decoder) Whole(into *int64) error {
	var n exact.Rat
	if err := d.Number(&n); err != nil {
		return err
	}
	i, ok := n.Int64()
	if !ok {
		return d.Failed("must be a whole number")
	}
	*into = i
	return nil
}

// Integer reads a whole number into an int.
func (d *Decoder) Integer(into *int) error {
	var n int64
	if err := d.Whole(&n); err != nil {
		return err
	}
	*into = int(n)
	return nil
}

// IntegerFrom reads a whole number that is at least least.
func (d *Decoder) IntegerFrom(least int, into *int) error {
	if err := d.Integer(into); err != nil {
		return err
	}
	if *into < least {
		return d.Failed("must be %d or more", least)
	}
	return nil
}

// NumberOrText reads a number, returned as written, or a string.
func (d *Decoder) NumberOrText() (string, error) {
	t, err := d.token()
	switch t := t.(type) {
	case string:
		return t, nil
	case json.Number:
		return t.String(), nil
	case nil:
		if err == nil {
			err = errNull
		}
		return "", err
	}
	return "", d.mismatch("a number or a text", t)
}

// OptionalInteger reads a whole number, or null as nil.
func (d *Decoder) OptionalInteger(into **int) error {
	var n int
	if err := d.Integer(&n); err != nil {
		return err
	}
	*into = &n
	return nil
}

// Texts reads a list of strings.
func (d *Decoder) Texts(into *[]string) error { return List(d, into, d.Text) }

// Numbers reads a list of exact numbers. An empty list is not nil.
func (d *Decoder) Numbers(into *[]exact.Rat) error { return List(d, into, d.Number) }

// List reads a list, calling read for each element. An empty list is not nil.
func List[T any](d *Decoder, into *[]T, read func(into *T) error) error {
	list := []T{}
	err := d.Array(func() error {
		var v T
		if err := read(&v); err != nil {
			return err
		}
		list = append(list, v)
		return nil
	})
	if err == nil {
		*into = list
	}
	return err
}
