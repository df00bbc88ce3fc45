package recording

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"sort"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"newel/internal/strict"
)

// InvalidError reports what is wrong with a body and where. It is meant for the
// log and for client authors; the phone shows its own message.
type InvalidError struct {
	// Path is the location, such as trials[3].answer.outcome; empty for the
	// body as a whole.
	Path string
	// Problem describes what is wrong and what is expected.
	Problem string
}

// Error returns path and problem.
func (e *InvalidError) Error() string {
	if e.Path == "" {
		return e.Problem
	}
	return e.Path + ": " + e.Problem
}

// maxDepth limits how deeply a body's values may be nested; the contract itself
// needs five.
const maxDepth = 8

// node is one JSON value with its path. The value is an object, []node, string,
// json.Number, bool or nil.
type node struct {
	path  string
	value any
}

// object tracks which fields have not been read, so that a misspelled one is an
// error instead of a silently missing answer.
type object struct {
	path   string
	fields map[string]node
	asked  map[string]bool
}

func (n node) fail(format string, args ...any) error {
	return &InvalidError{Path: n.path, Problem: fmt.Sprintf(format, args...)}
}

// parse reads exactly one JSON value with the reader for everything from
// outside. The contract needs a tree on top of it: it checks fields in its own
// order, whatever their order in the body, and treats null as an error instead
// of a missing field.
func parse(body []byte) (node, error) {
	var root node
	err := strict.ReadWithin(maxDepth, body, func(d *strict.Decoder) (err error) {
		root, err = parseValue(d)
		return err
	})
	if err == nil {
		return root, nil
	}
	var syntax *strict.SyntaxError
	var invalid *strict.Error
	switch {
	case errors.As(err, &syntax):
		return node{}, &InvalidError{Problem: "the body is not JSON: " + err.Error()}
	case errors.As(err, &invalid):
		return node{}, &InvalidError{Path: invalid.Path, Problem: invalid.Err.Error()}
	}
	return node{}, &InvalidError{Problem: err.Error()}
}

func parseValue(d *strict.Decoder) (node, error) {
	path, fields, list := d.Path(), map[string]node(nil), []node(nil)
	token, err := d.Any(func(name string) (err error) {
		if fields == nil {
			fields = map[string]node{}
		}
		fields[name], err = parseValue(d)
		return err
	}, func() error {
		n, err := parseValue(d)
		list = append(list, n)
		return err
	})
	switch token {
	case json.Delim('{'):
		return node{path, &object{path, fields, map[string]bool{}}}, err
	case json.Delim('['):
		return node{path, list}, err
	}
	return node{path, token}, err
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

func (n node) object() (*object, error) {
	o, ok := n.value.(*object)
	if !ok {
		return nil, n.fail("must be an object")
	}
	return o, nil
}

func (n node) list(most int) ([]node, error) {
	items, ok := n.value.([]node)
	if !ok {
		return nil, n.fail("must be a list")
	}
	if len(items) > most {
		return nil, n.fail("has %d entries; at most %d are allowed", len(items), most)
	}
	return items, nil
}

func (n node) bool() (bool, error) {
	b, ok := n.value.(bool)
	if !ok {
		return false, n.fail("must be true or false")
	}
	return b, nil
}

// integer reads a whole number written in digits only (3, never 3.0 or 3e0), so
// that every number has one spelling.
func (n node) integer(least, most int64) (int64, error) {
	number, ok := n.value.(json.Number)
	if !ok {
		return 0, n.fail("must be a whole number")
	}
	v, err := strconv.ParseInt(number.String(), 10, 64)
	if err != nil || strconv.FormatInt(v, 10) != number.String() {
		return 0, n.fail("must be a whole number written with digits only")
	}
	if v < least || v > most {
		return 0, n.fail("is %d; it must be from %d to %d", v, least, most)
	}
	return v, nil
}

// text reads a string of at most most characters without control characters
// (the database rejects U+0000, and no field here has line breaks).
func (n node) text(most int) (string, error) {
	s, ok := n.value.(string)
	if !ok {
		return "", n.fail("must be text")
	}
	if length := utf8.RuneCountInString(s); length > most {
		return "", n.fail("has %d characters; at most %d are allowed", length, most)
	}
	if strings.ContainsFunc(s, unicode.IsControl) {
		return "", n.fail("must not contain control characters")
	}
	return s, nil
}

// oneOf reads a word from a fixed list.
func oneOf[T ~string](n node, words ...T) (T, error) {
	s, ok := n.value.(string)
	for _, w := range words {
		if ok && T(s) == w {
			return w, nil
		}
	}
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = strconv.Quote(string(w))
	}
	return "", n.fail("must be one of %s", strings.Join(quoted, ", "))
}

// need returns a required field.
func (o *object) need(name string) (node, error) {
	n, ok := o.may(name)
	if !ok {
		return node{}, &InvalidError{join(o.path, name), "is missing"}
	}
	return n, nil
}

// may returns an optional field and whether it is present.
func (o *object) may(name string) (node, bool) {
	o.asked[name] = true
	n, ok := o.fields[name]
	return n, ok
}

// done rejects fields that were not read.
func (o *object) done() error {
	var unknown []string
	for name := range o.fields {
		if !o.asked[name] {
			unknown = append(unknown, name)
		}
	}
	if len(unknown) == 0 {
		return nil
	}
	sort.Strings(unknown)
	return &InvalidError{join(o.path, unknown[0]), "is not a field of this contract"}
}

// canonical encodes a value in the canonical form used to compare answers.
func canonical(v any) string {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		// Only values built from this package's own types get here.
		panic(fmt.Sprintf("recording: cannot write %T: %v", v, err))
	}
	return strings.TrimSuffix(b.String(), "\n")
}
