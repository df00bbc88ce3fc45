package message

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/big"
	"strconv"
	"strings"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"newel/internal/newel"
)

// Printer formats texts in one language.
type Printer struct {
	tag     language.Tag // determines plural forms, numbers and direction
	name    string       // returned by Language
	entries map[string]entry
	numbers *message.Printer
}

// Language returns the BCP 47 tag, for a page's lang attribute.
func (p *Printer) Language() string { return p.name }

// rightToLeft lists the scripts in use that are written from right to left
// (Unicode Standard Annex #9 and the scripts' own blocks; list recalled).
var rightToLeft = map[string]bool{"Arab": true, "Hebr": true, "Syrc": true, "Thaa": true, "Nkoo": true, "Adlm": true, "Rohg": true}

// Dir returns "rtl" or "ltr", for a page's dir attribute.
func (p *Printer) Dir() string { return direction(p.tag) }

func direction(tag language.Tag) string {
	if script, _ := tag.Script(); rightToLeft[script.String()] {
		return "rtl"
	}
	return "ltr"
}

// Has reports whether the key has a text.
func (p *Printer) Has(key string) bool {
	_, ok := p.entries[key]
	return ok
}

// Text returns the text of a key. Arguments alternate names and values:
// Text("trial.of", "n", 3, "of", 10). For an unknown key it returns the key
// itself, so that the page still shows something; tests make sure that this
// never happens.
func (p *Printer) Text(key string, args ...any) string {
	values := make(map[string]any, len(args)/2)
	for i := 0; i+1 < len(args); i += 2 {
		values[fmt.Sprint(args[i])] = args[i+1]
	}
	return p.text(key, values)
}

// Problem returns the sentence for a problem with a person's input.
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

// form selects the plural form for a number. Zero and an empty text select
// "zero" if it exists; any other non-number selects "other".
func (p *Printer) form(e entry, value any) string {
	category, isZero := p.category(value)
	if zero, has := e.forms["zero"]; has && (value == "" || isZero) {
		return zero
	}
	if text, ok := e.forms[categoryNames[category]]; ok {
		return text
	}
	return e.forms["other"]
}

// category returns the plural category of a number as it is shown, and whether
// it is shown as zero: a mean of 1.04 errors is shown as 1 error.
func (p *Printer) category(value any) (category plural.Form, zero bool) {
	if f, is := value.(float64); is {
		d := number.Decimal(shown(f)).Digits(nil, p.tag, shownDecimals)
		digits := bytes.TrimRight(d.Digits, "\x00") // trailing zeros are not shown
		whole := int(d.Exp)
		return plural.Cardinal.MatchDigits(p.tag, digits, whole, max(0, len(digits)-whole)), len(digits) == 0
	}
	n, ok := whole(value)
	if !ok {
		return plural.Other, false
	}
	i := int(min(abs(n), 10_000_000)) // larger numbers behave alike in every language
	return plural.Cardinal.MatchPlural(p.tag, i, 0, 0, 0, 0), n == 0
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
	case json.Number:
		n, err := v.Int64()
		return n, err == nil
	}
	return 0, false
}

// value formats one argument.
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

// LanguageName returns a language's name in the printer's language, or the tag
// itself if it has none.
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

// shownDecimals is the maximum number of decimals in a number.
const shownDecimals = 1

// Number formats a number with at most one decimal, the only time it is
// rounded.
func (p *Printer) Number(n any) string {
	switch v := n.(type) {
	case float64:
		n = shown(v)
	case float32:
		n = shown(float64(v))
	}
	return p.numbers.Sprint(number.Decimal(n, number.MaxFractionDigits(shownDecimals)))
}

// shown rounds to the decimals that are shown: to the nearest, and up from the
// middle between two. A float stands for the shortest decimal that it is the
// nearest to: a response after 0.15 s is shown as 0.2, although the float is
// below 0.15.
func shown(f float64) float64 {
	r, ok := new(big.Rat).SetString(strconv.FormatFloat(f, 'g', -1, 64))
	if !ok { // infinite, or not a number
		return f
	}
	rounded, err := strconv.ParseFloat(r.FloatString(shownDecimals), 64)
	if err != nil { // never: f is no larger
		return f
	}
	return rounded + 0 // no negative zero
}

// Percent formats a percentage (0 to 100) with at most one decimal. Pass it
// unrounded.
func (p *Printer) Percent(percent float64) string {
	return p.Text("number.percent", "n", p.Number(percent))
}

// Day formats a date with its year, as in 3 March 2026; "" for the zero Day.
func (p *Printer) Day(d newel.Day) string {
	return p.day("date.day", d)
}

// DayShort formats a date without its year, as in 3 March, without a line
// break.
func (p *Printer) DayShort(d newel.Day) string {
	return p.day("date.short", d)
}

// Weekday returns the name of the day's weekday.
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
	// Years and days are labels here, not amounts: no thousands separator.
	return p.Text(key, "day", strconv.Itoa(t.Day()), "month", p.Text("date.month_"+strconv.Itoa(int(t.Month()))), "year", strconv.Itoa(t.Year()))
}
