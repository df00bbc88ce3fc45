package message

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"newel/internal/newel"
)

// Printer writes texts in one language.
type Printer struct {
	tag     language.Tag // decides plural forms, numbers and direction
	name    string       // what Language says
	entries map[string]entry
	numbers *message.Printer
}

// Language is the BCP 47 tag, for the lang attribute of a page.
func (p *Printer) Language() string { return p.name }

// rightToLeft are the scripts in use that are written from right to left
// (Unicode Standard Annex #9 and the scripts' own blocks; list recalled).
var rightToLeft = map[string]bool{"Arab": true, "Hebr": true, "Syrc": true, "Thaa": true, "Nkoo": true, "Adlm": true, "Rohg": true}

// Dir is "rtl" or "ltr", for the dir attribute of a page.
func (p *Printer) Dir() string { return direction(p.tag) }

func direction(tag language.Tag) string {
	if script, _ := tag.Script(); rightToLeft[script.String()] {
		return "rtl"
	}
	return "ltr"
}

// Has reports whether there is a text under the key.
func (p *Printer) Has(key string) bool {
	_, ok := p.entries[key]
	return ok
}

// Text gives the text of a key. Arguments are names and values in turn:
// Text("trial.of", "n", 3, "of", 10). An unknown key gives the key itself, so
// that a page still says something; tests see to it that this never happens.
func (p *Printer) Text(key string, args ...any) string {
	values := make(map[string]any, len(args)/2)
	for i := 0; i+1 < len(args); i += 2 {
		values[fmt.Sprint(args[i])] = args[i+1]
	}
	return p.text(key, values)
}

// Problem gives the sentence for something that cannot be accepted.
func (p *Printer) Problem(problem newel.Problem) string { return p.text(problem.Key, problem.Args) }

func (p *Printer) text(key string, values map[string]any) string {
	e, ok := p.entries[key]
	if !ok {
		return key
	}
	text := e.text
	if e.forms != nil {
		text = p.form(e, values[e.by])
	}
	if !strings.Contains(text, "{") {
		return text
	}
	return placeholder.ReplaceAllStringFunc(text, func(found string) string {
		value, given := values[found[1:len(found)-1]]
		if !given {
			return found
		}
		return p.value(value)
	})
}

// form chooses the plural form for a number. None at all and an empty text
// take "zero" if there is one, anything else that is no number "other".
func (p *Printer) form(e entry, value any) string {
	n, ok := whole(value)
	if zero, has := e.forms["zero"]; has && (value == "" || ok && n == 0) {
		return zero
	}
	if !ok {
		return e.forms["other"]
	}
	i := int(min(abs(n), 10_000_000)) // larger ones behave alike in every language
	category := plural.Cardinal.MatchPlural(p.tag, i, 0, 0, 0, 0)
	if text, ok := e.forms[categoryNames[category]]; ok {
		return text
	}
	return e.forms["other"]
}

var categoryNames = map[plural.Form]string{
	plural.Zero: "zero", plural.One: "one", plural.Two: "two", plural.Few: "few", plural.Many: "many", plural.Other: "other",
}

func abs(n int64) int64 {
	if n < 0 {
		return -n
	}
	return n
}

func whole(value any) (int64, bool) {
	switch v := value.(type) {
	case int:
		return int64(v), true
	case int32:
		return int64(v), true
	case int64:
		return v, true
	case float64: // from JSON
		return int64(v), v == float64(int64(v))
	case json.Number:
		n, err := v.Int64()
		return n, err == nil
	}
	return 0, false
}

// value writes one argument.
func (p *Printer) value(value any) string {
	switch v := value.(type) {
	case string:
		return v
	case newel.Day:
		return p.Day(v)
	case float64, float32:
		return p.Number(v)
	}
	if n, ok := whole(value); ok {
		return p.Number(n)
	}
	return fmt.Sprint(value)
}

// LanguageName names a language (BCP 47) in the printer's own; the tag itself
// where it has no name.
func (p *Printer) LanguageName(tag string) string {
	parsed, err := language.Parse(tag)
	if err != nil {
		return tag
	}
	if name := display.Tags(p.tag).Name(parsed); name != "" {
		return name
	}
	return tag
}

// Number writes a number as the language does, with at most one decimal.
func (p *Printer) Number(n any) string {
	return p.numbers.Sprint(number.Decimal(n, number.MaxFractionDigits(1)))
}

// Percent writes a percentage (0 to 100) with at most one decimal.
func (p *Printer) Percent(percent float64) string {
	return p.Text("number.percent", "n", p.Number(percent))
}

// Day writes a date with its year, as in 3 March 2026; nothing for no day.
func (p *Printer) Day(d newel.Day) string {
	return p.day("date.day", d)
}

// DayShort writes a date without its year, as in 3 March, and never in two lines.
func (p *Printer) DayShort(d newel.Day) string {
	return p.day("date.short", d)
}

// Weekday writes the name of the day's weekday.
func (p *Printer) Weekday(d newel.Day) string {
	if d.IsZero() {
		return ""
	}
	return p.Text("date.weekday_" + strconv.Itoa(int(d.Time().Weekday())))
}

func (p *Printer) day(key string, d newel.Day) string {
	if d.IsZero() {
		return ""
	}
	t := d.Time()
	// Years and days are names here, not amounts: no thousands separator.
	return p.Text(key, "day", strconv.Itoa(t.Day()), "month", p.Text("date.month_"+strconv.Itoa(int(t.Month()))), "year", strconv.Itoa(t.Year()))
}
