package program

import (
	"slices"
	"strconv"
	"strings"

	"newel/internal/newel"
)

// row is one field of a table: its description, and how it is kept in a T.
type row[T any] struct {
	Field
	value[T]
}

func (r row[T]) describe(of Owner) Field {
	f := r.Field
	f.Owner, f.Kind = of, r.kind
	if f.Path == "" {
		f.Path = f.Name
	}
	if f.UnparsedKey == "" {
		f.UnparsedKey = r.unparsedKey
	}
	return f
}

// value says how one field is written as text, read from it and checked.
type value[T any] struct {
	kind        Kind
	write       func(d *Document, v *T) string
	read        func(r *sheetReader, d *Document, v *T, name string)
	check       func(e *newel.Invalid, v *T, name string) // nil: see Document.Check
	unparsedKey string
	// namesSteps: it names steps by title, so it is read after all steps are.
	namesSteps bool
}

func textValue[T any](kind Kind, at func(*T) *string, check func(e *newel.Invalid, v *T, name string)) value[T] {
	return value[T]{
		kind:  kind,
		write: func(_ *Document, v *T) string { return *at(v) },
		read:  func(r *sheetReader, _ *Document, v *T, name string) { *at(v) = r.text(name) },
		check: check,
	}
}

// oneLine is a text of one line, of at most limit characters.
func oneLine[T any](limit int, at func(*T) *string) value[T] {
	return textValue(Line, at, func(e *newel.Invalid, v *T, name string) { e.Line(name, *at(v), limit, false) })
}

// requiredLine is a line that must not be empty.
func requiredLine[T any](limit int, at func(*T) *string) value[T] {
	return textValue(Line, at, func(e *newel.Invalid, v *T, name string) { e.Line(name, *at(v), limit, true) })
}

// text is a text of several lines.
func text[T any](at func(*T) *string) value[T] {
	return textValue(Text, at, func(e *newel.Invalid, v *T, name string) { e.Text(name, *at(v), newel.MaxNote, false) })
}

// rule is a condition in the criterion's words. Document.Check parses it.
func rule[T any](at func(*T) *string) value[T] { return textValue(Rule, at, nil) }

// choice is one of a few values. Any other is kept as it was typed;
// Document.Check refuses it.
func choice[T any, V ~string](at func(*T) *V) value[T] {
	return value[T]{
		kind:  Choice,
		write: func(_ *Document, v *T) string { return string(*at(v)) },
		read:  func(r *sheetReader, _ *Document, v *T, name string) { *at(v) = V(r.text(name)) },
	}
}

// list holds one item per line, each of at most limit characters.
func list[T any](limit int, at func(*T) *[]string) value[T] {
	return value[T]{
		kind:  List,
		write: func(_ *Document, v *T) string { return strings.Join(*at(v), "\n") },
		read:  func(r *sheetReader, _ *Document, v *T, name string) { *at(v) = r.lines(name) },
		check: func(e *newel.Invalid, v *T, name string) {
			for _, item := range *at(v) {
				e.Line(name, item, limit, false)
			}
		},
	}
}

func wholeNumber[T any](at func(*T) *int) value[T] {
	return value[T]{
		kind:        Whole,
		write:       func(_ *Document, v *T) string { return whole(*at(v)) },
		read:        func(r *sheetReader, _ *Document, v *T, name string) { *at(v) = r.whole(name) },
		unparsedKey: "program.number",
	}
}

func secondsValue[T any](at func(*T) *float64) value[T] {
	return value[T]{
		kind:        Seconds,
		write:       func(_ *Document, v *T) string { return decimal(*at(v)) },
		read:        func(r *sheetReader, _ *Document, v *T, name string) { *at(v) = r.seconds(name) },
		unparsedKey: "program.seconds",
	}
}

func percentValue[T any](at func(*T) *float64) value[T] {
	return value[T]{
		kind:        Percent,
		write:       func(_ *Document, v *T) string { return decimal(*at(v)) },
		read:        func(r *sheetReader, _ *Document, v *T, name string) { *at(v) = r.percent(name) },
		unparsedKey: "program.course",
	}
}

// ticked is the value of a set check box in a Sheet; an unset one is empty.
const ticked = "yes"

func tick[T any](at func(*T) *bool) value[T] {
	return value[T]{
		kind: Tick,
		write: func(_ *Document, v *T) string {
			if *at(v) {
				return ticked
			}
			return ""
		},
		read: func(r *sheetReader, _ *Document, v *T, name string) {
			if *at(v) = r.text(name) == ticked; !*at(v) && r.text(name) != "" {
				r.keep(name)
			}
		},
		unparsedKey: "program.course",
	}
}

func wordingsValue[T any](at func(*T) *Wordings) value[T] {
	return value[T]{
		kind:  Worded,
		write: func(_ *Document, v *T) string { return strings.Join(at(v).pieces(), "\n") },
		read:  func(r *sheetReader, _ *Document, v *T, name string) { *at(v) = r.wordings(name) },
		check: func(e *newel.Invalid, v *T, name string) { checkWordings(e, name, *at(v)) },

		unparsedKey: "program.wordings",
	}
}

// ownWait is a step's wait. No wait at all differs from the procedure's wait.
func ownWait(at func(*Step) **float64) value[Step] {
	return value[Step]{
		kind: Seconds,
		write: func(_ *Document, s *Step) string {
			if *at(s) == nil {
				return ""
			}
			return strconv.FormatFloat(**at(s), 'f', -1, 64)
		},
		read: func(r *sheetReader, _ *Document, s *Step, name string) {
			if r.text(name) == "" {
				return
			}
			if wait := r.seconds(name); r.unparsed[name] == "" {
				*at(s) = &wait
			}
		},
		unparsedKey: "program.seconds",
	}
}

// CardPressToShow is the value of a step's field "card" if the recorder shows the
// target only while the screen is pressed; empty means always.
const CardPressToShow = "held"

// pressToShowCard is whether the card is shown only while held, as a choice of words.
func pressToShowCard() value[Step] {
	return value[Step]{
		kind: Choice,
		write: func(_ *Document, s *Step) string {
			if s.PressToShow {
				return CardPressToShow
			}
			return ""
		},
		read: func(r *sheetReader, _ *Document, s *Step, name string) {
			if s.PressToShow = r.text(name) == CardPressToShow; !s.PressToShow && r.text(name) != "" {
				r.keep(name)
			}
		},
		unparsedKey: "program.card",
	}
}

// orderRule is a choice that stays unparsed if it is not one of OrderRules.
func orderRule() value[Step] {
	v := choice(func(s *Step) *string { return &s.Order.Rule })
	v.read = func(r *sheetReader, _ *Document, s *Step, name string) {
		if text := r.text(name); text == "" || slices.Contains(OrderRules, text) {
			s.Order.Rule = text
		} else {
			r.keep(name)
		}
	}
	v.unparsedKey = "program.course"
	return v
}

func flagsOff() value[Step] {
	return value[Step]{
		kind:        Line,
		write:       func(_ *Document, s *Step) string { return strings.Join(s.Rules.Off, ", ") },
		read:        func(r *sheetReader, _ *Document, s *Step, name string) { s.Rules.Off = r.flags(name) },
		unparsedKey: "program.course",
	}
}

func checkWeeks() value[Document] {
	return value[Document]{
		kind:        Line,
		write:       func(_ *Document, d *Document) string { return joined(d.MaintenanceWeeks, strconv.Itoa) },
		read:        func(r *sheetReader, _ *Document, d *Document, name string) { d.MaintenanceWeeks = r.wholes(name) },
		unparsedKey: "program.weeks",
	}
}

// things is a list of which every thing is written in one line.
func things[T, E any](at func(*T) *[]E, write func(*Document, E) string, read func(*Document, string) E) value[T] {
	return value[T]{
		kind: List,
		write: func(d *Document, v *T) string {
			return lines(*at(v), func(e E) string { return write(d, e) })
		},
		read: func(r *sheetReader, d *Document, v *T, name string) {
			for _, typed := range r.lines(name) {
				*at(v) = append(*at(v), read(d, typed))
			}
		},
	}
}

// openings are the steps that a strand waits for, by title.
func openings() value[Strand] {
	return value[Strand]{
		kind: Line,
		write: func(d *Document, s *Strand) string {
			return joined(s.Opens, func(o Opening) string { return d.StepTitle(o.Step) })
		},
		read:        func(r *sheetReader, d *Document, s *Strand, name string) { s.Opens = r.opens(d, name) },
		unparsedKey: "program.opens_unknown", namesSteps: true,
	}
}

// afterSteps marks a value that names steps.
func afterSteps[T any](v value[T]) value[T] {
	v.namesSteps = true
	return v
}

// checked replaces how a value is checked.
func checked[T any](v value[T], check func(e *newel.Invalid, v *T, name string)) value[T] {
	v.check = check
	return v
}

// checkedElsewhere leaves the check to Document.Check.
func (v value[T]) checkedElsewhere() value[T] {
	v.check = nil
	return v
}
