package message

import (
	"strings"
	"unicode/utf8"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
)

// accents maps letters to look-alikes: readable, and obviously not typed into a
// page by hand.
var accents = strings.NewReplacer(
	"a", "á", "b", "ƀ", "c", "ç", "d", "ð", "e", "é", "f", "ƒ", "g", "ĝ", "h", "ĥ", "i", "í", "j", "ĵ", "k", "ķ", "l", "ļ", "m", "ɱ",
	"n", "ñ", "o", "ö", "p", "þ", "q", "ɋ", "r", "ŕ", "s", "š", "t", "ţ", "u", "ú", "v", "ṽ", "w", "ŵ", "x", "ẋ", "y", "ý", "z", "ž",
	"A", "Å", "B", "Ɓ", "C", "Ç", "D", "Ð", "E", "É", "F", "Ƒ", "G", "Ĝ", "H", "Ĥ", "I", "Î", "J", "Ĵ", "K", "Ķ", "L", "Ļ", "M", "Ṁ",
	"N", "Ñ", "O", "Ö", "P", "Þ", "Q", "Ɋ", "R", "Ŕ", "S", "Š", "T", "Ţ", "U", "Û", "V", "Ṽ", "W", "Ŵ", "X", "Ẋ", "Y", "Ý", "Z", "Ž",
)

// pseudoPrinter returns the pseudo-language derived from English.
func pseudoPrinter(base *Printer) *Printer {
	p := &Printer{tag: base.tag, name: Pseudo, entries: make(map[string]entry, len(base.entries)), numbers: message.NewPrinter(language.English)}
	for key, e := range base.entries {
		out := entry{by: e.by}
		if e.forms == nil {
			out.text = pseudo(e.text)
		} else {
			out.forms = make(map[string]string, len(e.forms))
			for category, text := range e.forms {
				out.forms[category] = pseudo(text)
			}
		}
		p.entries[key] = out
	}
	return p
}

// pseudo accents a text outside its placeholders and makes it a third longer,
// as a longer language may need (common practice; recalled).
func pseudo(text string) string {
	var b strings.Builder
	b.WriteString("[")
	at := 0
	for _, m := range placeholder.FindAllStringIndex(text, -1) {
		b.WriteString(accents.Replace(text[at:m[0]]))
		b.WriteString(text[m[0]:m[1]])
		at = m[1]
	}
	b.WriteString(accents.Replace(text[at:]))
	b.WriteString(strings.Repeat("~", 1+utf8.RuneCountInString(text)/3))
	b.WriteString("]")
	return b.String()
}
