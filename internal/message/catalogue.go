package message

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"regexp"
	"slices"
	"strings"
	"sync"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
)

//go:embed catalogue
var files embed.FS

// fallback is the language in which every key has a text; the others are
// checked against it.
const fallback = "en"

// Pseudo is an invented language: English with accents, a third longer and in
// brackets. Text that appears plain in it did not come from a catalog. It is
// only used if requested by this exact name.
const Pseudo = "en-XA"

// entry is one text, or one for each plural category.
type entry struct {
	text  string            // if there are no forms
	by    string            // the argument that selects the form
	forms map[string]string // plural category → text
}

// texts returns every text of the entry.
func (e entry) texts() []string {
	if e.forms == nil {
		return []string{e.text}
	}
	return slices.Collect(maps.Values(e.forms))
}

// Catalogue holds the texts of every language. It is immutable after loading
// and safe for concurrent use.
type Catalogue struct {
	printers map[string]*Printer
	tags     []language.Tag // fallback first; without Pseudo
	matcher  language.Matcher
}

// Load returns the embedded catalogs, which it reads once: every call returns
// the same Catalogue. An error means a mistake in the files and names the file
// and key.
func Load() (*Catalogue, error) { return builtIn() }

var builtIn = sync.OnceValues(func() (*Catalogue, error) {
	sub, err := fs.Sub(files, "catalogue")
	if err != nil {
		return nil, fmt.Errorf("message catalogs: %w", err)
	}
	return load(sub)
})

func load(dir fs.FS) (*Catalogue, error) {
	names, err := fs.Glob(dir, "*.json")
	if err != nil {
		return nil, fmt.Errorf("message catalogs: %w", err)
	}
	c := &Catalogue{printers: map[string]*Printer{}}
	for _, name := range names {
		if err := c.add(dir, name); err != nil {
			return nil, fmt.Errorf("message catalog %s: %w", name, err)
		}
	}
	base := c.printers[fallback]
	if base == nil {
		return nil, fmt.Errorf("message catalog %s.json is missing", fallback)
	}
	for _, p := range c.printers {
		if err := sameKeys(base.entries, p.entries); err != nil {
			return nil, fmt.Errorf("message catalog %s.json: %w", p.tag, err)
		}
	}
	slices.SortFunc(c.tags, func(a, b language.Tag) int {
		return strings.Compare(order(a), order(b))
	})
	c.matcher = language.NewMatcher(c.tags)
	c.printers[Pseudo] = pseudoPrinter(base)
	return c, nil
}

// order puts the fallback first, because the matcher returns the first language
// if none matches.
func order(t language.Tag) string {
	if t.String() == fallback {
		return ""
	}
	return t.String()
}

func (c *Catalogue) add(dir fs.FS, name string) error {
	tag, err := language.Parse(strings.TrimSuffix(path.Base(name), ".json"))
	if err != nil {
		return fmt.Errorf("the file name is not a language: %w", err)
	}
	body, err := fs.ReadFile(dir, name)
	if err != nil {
		return err
	}
	entries, err := readEntries(body)
	if err != nil {
		return err
	}
	if err := addParts(dir, strings.TrimSuffix(name, ".json"), entries); err != nil {
		return err
	}
	c.printers[tag.String()] = &Printer{tag: tag, name: tag.String(), entries: entries, numbers: message.NewPrinter(tag)}
	c.tags = append(c.tags, tag)
	return nil
}

// addParts reads the files in a language's folder: texts of pages that only the
// server renders. Phones do not get them.
func addParts(dir fs.FS, folder string, entries map[string]entry) error {
	names, err := fs.Glob(dir, folder+"/*.json")
	if err != nil {
		return err
	}
	for _, name := range names {
		body, err := fs.ReadFile(dir, name)
		if err != nil {
			return err
		}
		part, err := readEntries(body)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		for key, e := range part {
			if _, twice := entries[key]; twice {
				return fmt.Errorf("%s: %s is also in another file", name, key)
			}
			entries[key] = e
		}
	}
	return nil
}

// Keys are lower-case words separated by dots.
var keyForm = regexp.MustCompile(`^[a-z0-9_]+(\.[a-z0-9_]+)+$`)

// categories are the plural categories of CLDR.
var categories = []string{"zero", "one", "two", "few", "many", "other"}

func readEntries(body []byte) (map[string]entry, error) {
	if err := noDoubles(body); err != nil {
		return nil, err
	}
	var raw map[string]json.RawMessage
	if err := json.Unmarshal(body, &raw); err != nil {
		return nil, err
	}
	entries := make(map[string]entry, len(raw))
	for key, value := range raw {
		e, err := readEntry(value)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", key, err)
		}
		if !keyForm.MatchString(key) {
			return nil, fmt.Errorf("%q is not a key like part.name", key)
		}
		entries[key] = e
	}
	return entries, nil
}

// noDoubles rejects duplicate keys: the JSON decoder would silently take the
// second.
func noDoubles(body []byte) error {
	dec := json.NewDecoder(bytes.NewReader(body))
	seen := map[string]bool{}
	if _, err := dec.Token(); err != nil {
		return err
	}
	for dec.More() {
		token, err := dec.Token()
		if err != nil {
			return err
		}
		key, _ := token.(string)
		if seen[key] {
			return fmt.Errorf("%s appears twice", key)
		}
		seen[key] = true
		var skipped json.RawMessage
		if err := dec.Decode(&skipped); err != nil {
			return fmt.Errorf("%s: %w", key, err)
		}
	}
	return nil
}

func readEntry(value json.RawMessage) (entry, error) {
	var e entry
	if err := json.Unmarshal(value, &e.text); err == nil {
		return e, checkTexts(e)
	}
	if err := json.Unmarshal(value, &e.forms); err != nil {
		return e, fmt.Errorf("must be a string or an object of plural forms")
	}
	e.by = "n"
	if by, ok := e.forms["by"]; ok {
		e.by = by
		delete(e.forms, "by")
	}
	if _, ok := e.forms["other"]; !ok {
		return e, fmt.Errorf("has no form %q", "other")
	}
	for category := range e.forms {
		if !slices.Contains(categories, category) {
			return e, fmt.Errorf("%q is not a plural category; they are %s", category, strings.Join(categories, ", "))
		}
	}
	return e, checkTexts(e)
}

var placeholder = regexp.MustCompile(`\{([a-z_]+)\}`)

// checkTexts rejects empty texts and braces that do not belong to a
// placeholder.
func checkTexts(e entry) error {
	for _, text := range e.texts() {
		if strings.TrimSpace(text) == "" {
			return fmt.Errorf("has an empty text")
		}
		if strings.ContainsAny(placeholder.ReplaceAllString(text, ""), "{}") {
			return fmt.Errorf("%q has a brace that is not part of a {placeholder}", text)
		}
	}
	return nil
}

// placeholders returns the names that the entry's texts use and the argument
// that selects its form.
func (e entry) placeholders() map[string]bool {
	names := map[string]bool{}
	for _, text := range e.texts() {
		for _, m := range placeholder.FindAllStringSubmatch(text, -1) {
			names[m[1]] = true
		}
	}
	if e.forms != nil {
		names[e.by] = true
	}
	return names
}

// sameKeys checks that a language has the keys and arguments of the fallback.
func sameKeys(base, other map[string]entry) error {
	for _, key := range slices.Sorted(maps.Keys(base)) {
		e, ok := other[key]
		if !ok {
			return fmt.Errorf("%s is missing", key)
		}
		known := base[key].placeholders()
		for name := range e.placeholders() {
			if !known[name] {
				return fmt.Errorf("%s uses {%s}, which is not an argument", key, name)
			}
		}
	}
	for _, key := range slices.Sorted(maps.Keys(other)) {
		if _, ok := base[key]; !ok {
			return fmt.Errorf("%s is not in %s.json", key, fallback)
		}
	}
	return nil
}

// Languages returns the available languages as BCP 47 tags, English first.
func (c *Catalogue) Languages() []string {
	names := make([]string, len(c.tags))
	for i, t := range c.tags {
		names[i] = t.String()
	}
	return names
}

// For returns the printer of the language that matches best, or English. lang
// is a BCP 47 tag such as an account stores.
func (c *Catalogue) For(lang string) *Printer { return c.Printer(lang) }

// Printer returns the printer for an Accept-Language header or a single tag. It
// ignores an invalid header.
func (c *Catalogue) Printer(accept string) *Printer {
	if strings.EqualFold(strings.TrimSpace(accept), Pseudo) {
		return c.printers[Pseudo]
	}
	wishes, _, err := language.ParseAcceptLanguage(accept)
	if err != nil {
		wishes = nil
	}
	_, index, _ := c.matcher.Match(wishes...)
	return c.printers[c.tags[index].String()]
}
