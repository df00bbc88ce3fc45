package criterion

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"newel/internal/exact"
)

// decoder reads JSON token by token and knows where it is. encoding/json's own
// matching of structs takes other cases of a name for the name, keeps the last
// of two equal names, and reports no path; each of these could silently change
// a reading.
type decoder struct {
	json *json.Decoder
	path []segment
}

type segment struct {
	name  string
	index int // used when name is empty
}

func newDecoder(r io.Reader) (*decoder, error) {
	b, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("reading the input: %w", err)
	}
	if !utf8.Valid(b) {
		return nil, &InputError{Err: errors.New("the input is not UTF-8")}
	}
	d := &decoder{json: json.NewDecoder(bytes.NewReader(b))}
	d.json.UseNumber()
	return d, nil
}

// DecodeCase reads one case. The error is an *InputError naming the field, or
// one of the reader's.
func DecodeCase(r io.Reader) (c Case, err error) {
	d, err := newDecoder(r)
	if err != nil {
		return Case{}, err
	}
	if err := d.document(func() error { return d.caseObject(&c) }); err != nil {
		return Case{}, err
	}
	return c, nil
}

// document reads one value and makes sure that nothing follows it.
func (d *decoder) document(read func() error) error {
	if err := read(); err != nil {
		return err
	}
	if _, err := d.json.Token(); !errors.Is(err, io.EOF) {
		return d.failed("something follows the end of the document")
	}
	return nil
}

func (d *decoder) failed(format string, args ...any) error {
	return d.wrap(fmt.Errorf(format, args...))
}

func (d *decoder) wrap(err error) error {
	var b strings.Builder
	for _, s := range d.path {
		if s.name == "" {
			b.WriteString("[" + strconv.Itoa(s.index) + "]")
			continue
		}
		if b.Len() > 0 {
			b.WriteByte('.')
		}
		b.WriteString(s.name)
	}
	return &InputError{Path: b.String(), Err: err}
}

func (d *decoder) token() (json.Token, error) {
	t, err := d.json.Token()
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return nil, d.failed("the document ends too early")
	case err != nil:
		return nil, d.failed("not JSON near byte %d: %w", d.json.InputOffset(), err)
	}
	return t, nil
}

// errNull stands for null, which is the same as a field that is not there.
var errNull = errors.New("null")

// object reads an object, calling field for every name that is not null. After
// it, the names in required must have been there.
func (d *decoder) object(required []string, field func(name string) error) error {
	err := d.objectOrNull(required, field)
	if errors.Is(err, errNull) {
		return d.mismatch("an object", nil)
	}
	return err
}

// objectOrNull is object where null can stand instead, which is errNull.
func (d *decoder) objectOrNull(required []string, field func(name string) error) error {
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
	var seen, present []string
	for d.json.More() {
		t, err := d.token()
		if err != nil {
			return err
		}
		name, _ := t.(string)
		d.path = append(d.path, segment{name: name})
		if slices.Contains(seen, name) {
			return d.failed("this field is there twice")
		}
		seen = append(seen, name)
		switch err := field(name); {
		case err == nil:
			present = append(present, name)
		case !errors.Is(err, errNull):
			return err
		}
		d.path = d.path[:len(d.path)-1]
	}
	if _, err := d.token(); err != nil {
		return err
	}
	for _, name := range required {
		if !slices.Contains(present, name) {
			d.path = append(d.path, segment{name: name})
			return d.failed("this field is required")
		}
	}
	return nil
}

// unknown refuses a field that has no meaning here.
func (d *decoder) unknown() error { return d.failed("there is no such field") }

// array reads an array, calling element for each; null is errNull.
func (d *decoder) array(element func() error) error {
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
	d.path = append(d.path, segment{})
	for d.json.More() {
		if err := element(); err != nil {
			if errors.Is(err, errNull) {
				return d.failed("null cannot stand in a list")
			}
			return err
		}
		d.path[len(d.path)-1].index++
	}
	d.path = d.path[:len(d.path)-1]
	_, err = d.token()
	return err
}

func (d *decoder) mismatch(want string, got json.Token) error {
	switch got := got.(type) {
	case json.Delim:
		if got == '{' {
			return d.failed("must be %s, not an object", want)
		}
		return d.failed("must be %s, not a list", want)
	case string:
		return d.failed("must be %s, not a text", want)
	case json.Number:
		return d.failed("must be %s, not a number", want)
	case bool:
		return d.failed("must be %s, not true or false", want)
	}
	return d.failed("must be %s, not null", want)
}

// scalar reads a value of type T that is not an object or a list.
func scalar[T any](d *decoder, want string) (v T, err error) {
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

func (d *decoder) text(into *string) (err error) {
	*into, err = scalar[string](d, "a text")
	return err
}

func (d *decoder) boolean(into *bool) (err error) {
	*into, err = scalar[bool](d, "true or false")
	return err
}

func (d *decoder) number(into *exact.Rat) error {
	n, err := scalar[json.Number](d, "a number")
	if err != nil {
		return err
	}
	*into, err = exact.ParseJSON(n.String())
	if err != nil {
		return d.wrap(err)
	}
	return nil
}

func (d *decoder) optionalNumber(into **exact.Rat) error {
	var n exact.Rat
	if err := d.number(&n); err != nil {
		return err
	}
	*into = &n
	return nil
}

func (d *decoder) whole(into *int64) error {
	var n exact.Rat
	if err := d.number(&n); err != nil {
		return err
	}
	i, ok := n.Int64()
	if !ok {
		return d.failed("must be a whole number")
	}
	*into = i
	return nil
}

func (d *decoder) integer(into *int) error {
	var n int64
	if err := d.whole(&n); err != nil {
		return err
	}
	*into = int(n)
	return nil
}

func (d *decoder) optionalInteger(into **int) error {
	var n int
	if err := d.integer(&n); err != nil {
		return err
	}
	*into = &n
	return nil
}

func (d *decoder) moment(into *time.Time) error {
	var s string
	if err := d.text(&s); err != nil {
		return err
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil || !strictMoment(s) {
		return d.failed("%q is not a moment such as 2026-03-10T09:00:00+08:00", s)
	}
	*into = t
	return nil
}

// strictMoment refuses what time.Parse takes beyond RFC 3339: an hour of one
// digit, a comma before the fraction, an offset of more than a day.
func strictMoment(s string) bool {
	const seconds = len("2026-03-10T09:00:00")
	if len(s) <= seconds || s[len("2026-03-10T09")] != ':' || s[seconds] == ',' {
		return false
	}
	if strings.HasSuffix(s, "Z") {
		return true
	}
	offset := s[len(s)-len("08:00"):]
	return offset[:2] < "24" && offset[3:] < "60"
}

func (d *decoder) date(into *Date) error {
	var s string
	if err := d.text(&s); err != nil {
		return err
	}
	date, err := ParseDate(s)
	if err != nil {
		return d.wrap(err)
	}
	*into = date
	return nil
}

func (d *decoder) texts(into *[]string) error {
	return d.array(func() error {
		var s string
		if err := d.text(&s); err != nil {
			return err
		}
		*into = append(*into, s)
		return nil
	})
}

func (d *decoder) numbers(into *[]exact.Rat) error {
	list := []exact.Rat{} // a list that is there and empty is not an absent one
	err := d.array(func() error {
		var n exact.Rat
		if err := d.number(&n); err != nil {
			return err
		}
		list = append(list, n)
		return nil
	})
	if err == nil {
		*into = list
	}
	return err
}
