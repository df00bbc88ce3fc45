package program

import (
	"maps"
	"slices"
	"strings"

	"golang.org/x/text/language"
)

// For returns the words in the language, or otherwise if there are none. A
// longer tag falls back to shorter ones, as in BCP 47 lookup (RFC 4647, 3.4).
func (w Wordings) For(tag, otherwise string) string {
	for tag != "" {
		if words := w[tag]; words != "" {
			return words
		}
		tag = tag[:max(strings.LastIndexByte(tag, '-'), 0)]
	}
	return otherwise
}

// Tags returns the sorted language tags.
func (w Wordings) Tags() []string { return slices.Sorted(maps.Keys(w)) }

// KnownLanguage reports whether the text is a language tag written as BCP 47
// recommends: en, zh-Hant, pt-BR.
func KnownLanguage(tag string) bool {
	parsed, err := language.Raw.Parse(tag)
	return err == nil && parsed.String() == tag && tag != "und"
}

// wording parses "ms: Cuci tangan".
func wording(line string) (tag, words string, ok bool) {
	tag, words, found := strings.Cut(line, ":")
	tag, words = strings.TrimSpace(tag), strings.TrimSpace(words)
	return tag, words, found && words != "" && KnownLanguage(tag)
}

func (w Wordings) pieces() []string {
	out := make([]string, 0, len(w))
	for _, tag := range w.Tags() {
		out = append(out, tag+": "+w[tag])
	}
	return out
}

// wordings parses one language per line.
func (r *sheetReader) wordings(name string) Wordings {
	var out Wordings
	for _, line := range r.lines(name) {
		tag, words, ok := wording(line)
		if _, twice := out[tag]; !ok || twice {
			r.keep(name)
			return nil
		}
		if out == nil {
			out = Wordings{}
		}
		out[tag] = words
	}
	return out
}

// setMark precedes the set in the brackets after a target, and asideBreak
// separates the items in them: "cup (set: kitchen; ms: cawan)".
const (
	setMark    = "set"
	asideBreak = ";"
)

func (t Target) line() string {
	var aside []string
	if t.Set != "" {
		aside = append(aside, setMark+": "+t.Set)
	}
	return bracketed(t.Name, strings.Join(append(aside, t.In.pieces()...), asideBreak+" "))
}

// targetOf parses such a line. Brackets that contain neither a set nor a
// language are part of the name.
func targetOf(line string) Target {
	t := Target{Key: NewKey(), Name: line}
	name, aside := unbracketed(line)
	own := Target{Key: t.Key, Name: name}
	for _, piece := range strings.Split(aside, asideBreak) {
		mark, words, _ := strings.Cut(piece, ":")
		words = strings.TrimSpace(words)
		if strings.TrimSpace(mark) == setMark && words != "" && own.Set == "" {
			own.Set = words
			continue
		}
		tag, words, ok := wording(piece)
		if _, twice := own.In[tag]; !ok || twice {
			return t
		}
		if own.In == nil {
			own.In = Wordings{}
		}
		own.In[tag] = words
	}
	return own
}

// Completed returns the sheet with missing fields filled in from the document,
// for steps and strands that both have: a form need not show everything.
func (s Sheet) Completed(d *Document) Sheet {
	has := map[string]bool{}
	for _, strand := range s.Strands {
		has[strand.Key] = true
		for _, key := range strand.Steps {
			has[key] = true
		}
	}
	out := Sheet{Strands: s.Strands, Fields: maps.Clone(s.Fields)}
	for name, text := range d.Sheet().Fields {
		_, told := s.Fields[name]
		parts := strings.SplitN(name, ".", 3)
		if !told && (len(parts) < 3 || has[parts[1]]) {
			out.Fields[name] = text
		}
	}
	return out
}
