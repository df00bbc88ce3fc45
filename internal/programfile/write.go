package programfile

import (
	"bytes"
	"encoding"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"newel/internal/program"
)

// Export returns the document as a file.
func Export(d program.Document) []byte {
	var w writer
	fmt.Fprintf(&w, "%s: %d\n", formatName, program.DocumentFormat)
	w.fields(reflect.ValueOf(d), "")
	return w.Bytes()
}

// writer writes block-style YAML 1.2 with two spaces per level.
type writer struct{ bytes.Buffer }

const level = "  "

// fields writes a struct; indent precedes each line.
func (w *writer) fields(v reflect.Value, indent string) {
	for _, m := range members(v.Type()) {
		if f := v.Field(m.index); present(f) {
			w.WriteString(indent + m.name + ":")
			w.value(f, indent)
		}
	}
}

// present reports whether there is anything to write. A non-nil pointer always
// is: a wait of zero differs from no wait.
func present(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map:
		return v.Len() > 0
	case reflect.Struct:
		if asText(v.Type()) {
			return !v.IsZero()
		}
		return slices.ContainsFunc(members(v.Type()), func(m member) bool { return present(v.Field(m.index)) })
	}
	return !v.IsZero()
}

// value writes what follows a colon, and ends the line.
func (w *writer) value(v reflect.Value, indent string) {
	for v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	deeper := indent + level
	switch {
	case asText(v.Type()):
		text, _ := v.Interface().(encoding.TextMarshaler).MarshalText() // ids never return an error
		w.WriteString(" " + scalar(string(text)) + "\n")
	case v.Kind() == reflect.Struct && !present(v):
		w.WriteString(" {}\n")
	case v.Kind() == reflect.Struct:
		w.WriteString("\n")
		w.fields(v, deeper)
	case v.Kind() == reflect.Slice:
		w.WriteString("\n")
		for i := range v.Len() {
			w.item(v.Index(i), deeper)
		}
	case v.Kind() == reflect.Map:
		w.WriteString("\n")
		keys := v.Interface()
		for _, key := range sortedKeys(keys) {
			w.WriteString(deeper + scalar(key) + ":")
			w.value(v.MapIndex(reflect.ValueOf(key)), deeper)
		}
	case v.Kind() == reflect.String:
		w.text(v.String(), deeper)
	default:
		w.WriteString(" " + plainNumber(v) + "\n")
	}
}

func sortedKeys(m any) []string {
	switch m := m.(type) {
	case program.Wordings:
		return slices.Sorted(maps.Keys(m))
	case map[string]string:
		return slices.Sorted(maps.Keys(m))
	}
	return nil
}

func plainNumber(v reflect.Value) string {
	switch v.Kind() {
	case reflect.Bool:
		return strconv.FormatBool(v.Bool())
	case reflect.Float64:
		return strconv.FormatFloat(v.Float(), 'f', -1, 64)
	}
	return strconv.FormatInt(v.Int(), 10)
}

// item writes one list item, with its first field after the dash.
func (w *writer) item(v reflect.Value, indent string) {
	if v.Kind() != reflect.Struct || asText(v.Type()) || !present(v) {
		w.WriteString(indent + "-")
		w.value(v, indent)
		return
	}
	var inner writer
	inner.fields(v, indent+level)
	w.WriteString(indent + "- " + strings.TrimPrefix(inner.String(), indent+level))
}

// text writes a text: several lines as a literal block, without escapes.
func (w *writer) text(text, indent string) {
	if !block(text) {
		w.WriteString(" " + scalar(text) + "\n")
		return
	}
	w.WriteString(" |")
	if !strings.HasSuffix(text, "\n") {
		w.WriteString("-")
	}
	w.WriteString("\n")
	for line := range strings.SplitSeq(strings.TrimSuffix(text, "\n"), "\n") {
		if line != "" {
			w.WriteString(indent + line)
		}
		w.WriteString("\n")
	}
}

// block reports whether the text survives a literal block without an
// indentation indicator.
func block(text string) bool {
	if !strings.Contains(text, "\n") || !utf8.ValidString(text) || strings.HasPrefix(text, "\n") ||
		strings.HasPrefix(text, " ") || strings.HasPrefix(text, "\t") || strings.HasSuffix(text, "\n\n") {
		return false
	}
	for line := range strings.SplitSeq(text, "\n") {
		if strings.TrimSpace(line) == "" && line != "" || strings.ContainsFunc(line, unprintable) {
			return false
		}
	}
	return true
}

func unprintable(r rune) bool { return !unicode.IsPrint(r) }

// scalar writes a single-line text plainly if that is safe, and quoted
// otherwise.
func scalar(text string) string {
	if plain(text) {
		return text
	}
	return quoted(text)
}

// plain is stricter than YAML: what it accepts is read as the same text by
// every version of YAML, in a list, as a key and after one.
func plain(text string) bool {
	first, _ := utf8.DecodeRuneInString(text)
	if !unicode.IsLetter(first) && !unicode.IsDigit(first) && first != '(' && first != '“' {
		return false
	}
	if strings.ContainsFunc(text, unprintable) || strings.Contains(text, ": ") || strings.Contains(text, " #") ||
		strings.HasSuffix(text, ":") || strings.HasSuffix(text, " ") || !utf8.ValidString(text) {
		return false
	}
	switch strings.ToLower(text) {
	case "null", "true", "false", "yes", "no", "on", "off", "y", "n":
		return false
	}
	_, err := strconv.ParseFloat(strings.ReplaceAll(text, "_", ""), 64)
	return err != nil && !strings.HasPrefix(text, "0x") && !strings.HasPrefix(text, "0o")
}

// quoted writes a double-quoted scalar of YAML 1.2 (5.7, 7.3.1).
func quoted(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteString("\\" + string(r))
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case unicode.IsPrint(r):
			b.WriteRune(r)
		case r < 0x10000:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			fmt.Fprintf(&b, `\U%08X`, r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
