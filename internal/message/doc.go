// Package message turns keys and arguments into text in a reader's language.
// Everything that a person reads on a screen, other than what people wrote
// themselves, comes from the catalogues in this package; the phone gets the
// same files.
//
// A catalogue is one flat JSON object for each language. A value is a text
// with {placeholders}, or an object with a form for each plural category of
// the language (CLDR: zero, one, two, few, many, other), chosen by the
// argument n, or by the argument that "by" names:
//
//	"session.trials": {"one": "{n} try", "other": "{n} tries"}
//
// An empty text as that argument takes the form zero, if there is one: so a
// sentence can do without what is not known.
//
// Numbers among the arguments are written as the language writes them.
package message
