// Package message turns keys and arguments into text in a reader's language.
// Everything that a person reads on a screen, other than what people wrote
// themselves, comes from the catalogues in this package. catalogue/en.json has
// the texts that the phone gets too; the files in catalogue/en are those of
// pages that only the server makes.
//
// A file is one flat JSON object. A value is a text
// with {placeholders}, or an object with a form for each plural category of
// the language (CLDR: zero, one, two, few, many, other), chosen by the
// argument n, or by the argument that "by" names:
//
//	"session.trials": {"one": "{n} try", "other": "{n} tries"}
//
// In every language, the number 0 and an empty text take the form zero, if
// there is one: so a sentence can do without what is not there.
//
// Numbers among the arguments are written as the language writes them.
package message
