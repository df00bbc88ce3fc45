package programfile

import (
	"bytes"
	"encoding"
	"errors"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"
	"golang.org/x/text/unicode/norm"

	"newel/internal/newel"
	"newel/internal/program"
)

// Limits of a file, far above what people could work with.
const (
	MaxFile     = 1 << 20 // bytes
	maxProblems = 50      // reported at once
	maxItems    = 1000    // per list
)

// Problem is something in a file that cannot be read: where it is, in which
// field, and the key of a sentence with its arguments.
type Problem struct {
	Line, Column int // from 1; 0 if it concerns the whole file
	newel.Problem
}

// Parse parses a file. If there are problems, the document must not be used.
// Steps, strands, targets and prerequisites without a key get a new one.
func Parse(file []byte) (program.Document, []Problem) {
	r := &reader{keys: map[string]bool{}}
	d := program.Document{Format: program.DocumentFormat}
	if len(file) > MaxFile {
		r.add(nil, "", "file.too_large", "limit", MaxFile>>10)
		return d, r.problems
	}
	root, ok := r.root(file)
	if !ok {
		return d, r.problems
	}
	r.version(root)
	r.fields(root, reflect.ValueOf(&d).Elem(), "")
	return d, r.problems
}

type reader struct {
	problems []Problem
	keys     map[string]bool // of strands and steps
}

func (r *reader) add(at *yaml.Node, field, key string, args ...any) {
	if len(r.problems) >= maxProblems {
		return
	}
	var e newel.Invalid
	e.Add(field, key, args...)
	p := Problem{Problem: e.Problems[0]}
	if at != nil {
		p.Line, p.Column = at.Line, at.Column
	}
	r.problems = append(r.problems, p)
}

// root returns the file's mapping. It uses nodes as they are, so that aliases
// are never expanded.
func (r *reader) root(file []byte) (*yaml.Node, bool) {
	var doc yaml.Node
	if err := yaml.Load(file, &doc); err != nil && len(bytes.TrimSpace(file)) > 0 {
		r.syntax(err)
		return nil, false
	}
	if doc.Kind != yaml.DocumentNode || len(doc.Content) != 1 || doc.Content[0].Kind != yaml.MappingNode {
		r.add(nil, "", "file.not_a_program", "name", formatName)
		return nil, false
	}
	return doc.Content[0], true
}

// syntax reports the YAML library's error and its location.
func (r *reader) syntax(err error) {
	at, reason := &yaml.Node{}, err.Error()
	var load *yaml.LoadError
	if errors.As(err, &load) {
		at.Line, at.Column, reason = load.Mark.Line, load.Mark.Column, load.Message
	}
	r.add(at, "", "file.not_yaml", "reason", reason)
}

// version checks the first field, because this version would silently lose
// fields of a later format.
func (r *reader) version(root *yaml.Node) {
	for i := 0; i+1 < len(root.Content); i += 2 {
		if root.Content[i].Value != formatName {
			continue
		}
		if value := root.Content[i+1]; value.Value != strconv.Itoa(program.DocumentFormat) {
			r.add(value, formatName, "file.version", "version", shortened(value.Value), "known", program.DocumentFormat)
		}
		return
	}
	r.add(root, formatName, "file.no_version", "name", formatName, "known", program.DocumentFormat)
}

func shortened(text string) string {
	if runes := []rune(text); len(runes) > 60 {
		return string(runes[:60]) + "…"
	}
	return text
}

func under(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// usable rejects aliases, which make one part of a file stand for another.
func (r *reader) usable(n *yaml.Node, field string) bool {
	if n.Kind == yaml.AliasNode || n.Anchor != "" {
		r.add(n, field, "file.alias")
		return false
	}
	return true
}

func (r *reader) fields(n *yaml.Node, v reflect.Value, path string) {
	if !r.usable(n, path) {
		return
	}
	if n.Kind != yaml.MappingNode {
		r.add(n, path, "file.wants_fields")
		return
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		field := under(path, shortened(key.Value))
		m, known := memberNamed(v.Type(), key.Value)
		switch {
		case seen[key.Value]:
			r.add(key, field, "file.twice", "name", shortened(key.Value))
		case path == "" && key.Value == formatName:
		case !known:
			r.add(key, field, "file.unknown", "name", shortened(key.Value), "meant", nearest(key.Value, v.Type()))
		default:
			r.value(value, v.Field(m.index), field)
		}
		seen[key.Value] = true
	}
	r.key(n, v, path)
}

// key gives items that need a key a new one if it is missing, and rejects
// duplicate keys of strands and steps.
func (r *reader) key(n *yaml.Node, v reflect.Value, path string) {
	m, has := memberNamed(v.Type(), "key")
	if !has {
		return
	}
	f := v.Field(m.index)
	if f.String() == "" {
		f.SetString(program.NewKey())
		return
	}
	if !program.KnownKey(f.String()) {
		r.add(n, under(path, "key"), "file.key_form", "typed", shortened(f.String()))
	}
	switch v.Interface().(type) {
	case program.Strand, program.Step:
		if r.keys[f.String()] {
			r.add(n, under(path, "key"), "file.key_twice", "typed", shortened(f.String()))
		}
		r.keys[f.String()] = true
	}
}

func (r *reader) value(n *yaml.Node, v reflect.Value, field string) {
	if !r.usable(n, field) || empty(n) {
		return
	}
	switch {
	case v.Kind() == reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		r.value(n, v.Elem(), field)
	case asText(v.Type()):
		if n.Kind != yaml.ScalarNode || v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(n.Value)) != nil {
			r.add(n, field, "file.wants_id")
		}
	case v.Kind() == reflect.Struct:
		r.fields(n, v, field)
	case v.Kind() == reflect.Slice:
		r.list(n, v, field)
	case v.Kind() == reflect.Map:
		r.table(n, v, field)
	case n.Kind != yaml.ScalarNode:
		r.add(n, field, "file.wants_one")
	default:
		r.scalar(n, v, field)
	}
}

// empty reports whether nothing follows the colon.
func empty(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) == 0 &&
		slices.Contains([]string{"", "~", "null"}, n.Value)
}

func (r *reader) list(n *yaml.Node, v reflect.Value, field string) {
	switch {
	case n.Kind != yaml.SequenceNode:
		r.add(n, field, "file.wants_list")
		return
	case len(n.Content) > maxItems:
		r.add(n, field, "file.too_many", "limit", maxItems)
		return
	case len(n.Content) == 0:
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(n.Content), len(n.Content)))
	for i, item := range n.Content {
		r.value(item, v.Index(i), under(field, strconv.Itoa(i+1)))
	}
}

// table reads a mapping from names to texts, such as words by language.
func (r *reader) table(n *yaml.Node, v reflect.Value, field string) {
	if n.Kind != yaml.MappingNode {
		r.add(n, field, "file.wants_fields")
		return
	}
	if len(n.Content) > 2*maxItems {
		r.add(n, field, "file.too_many", "limit", maxItems)
		return
	}
	v.Set(reflect.MakeMap(v.Type()))
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, text := n.Content[i], reflect.New(v.Type().Elem()).Elem()
		at := under(field, shortened(key.Value))
		if !r.usable(key, at) {
			continue
		}
		if v.MapIndex(reflect.ValueOf(key.Value)).IsValid() {
			r.add(key, at, "file.twice", "name", shortened(key.Value))
			continue
		}
		r.value(n.Content[i+1], text, at)
		v.SetMapIndex(reflect.ValueOf(key.Value), text)
	}
}

func (r *reader) scalar(n *yaml.Node, v reflect.Value, field string) {
	switch v.Kind() {
	case reflect.String:
		text := norm.NFC.String(strings.ReplaceAll(n.Value, "\r\n", "\n"))
		if strings.ContainsRune(text, 0) {
			r.add(n, field, "field.control_characters")
			return
		}
		v.SetString(text)
	case reflect.Bool:
		if n.Value != "true" && n.Value != "false" {
			r.add(n, field, "file.wants_truth", "typed", shortened(n.Value))
		}
		v.SetBool(n.Value == "true")
	case reflect.Int:
		number, err := strconv.Atoi(n.Value)
		if err != nil || number < 0 || number > math.MaxInt32 {
			r.add(n, field, "file.wants_whole", "typed", shortened(n.Value))
		}
		v.SetInt(int64(number))
	case reflect.Float64:
		number, err := strconv.ParseFloat(n.Value, 64)
		if err != nil || !(number >= 0 && number <= math.MaxInt32) {
			r.add(n, field, "file.wants_number", "typed", shortened(n.Value))
			return
		}
		v.SetFloat(number)
	}
}
