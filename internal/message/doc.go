// Package message turns keys and arguments into text in a reader's language.
// Everything that people read on a screen, except what other people wrote,
// comes from the catalogs in this package. catalogue/en.json has the texts that
// phones get as well; the files in catalogue/en are for pages that only the
// server renders.
//
// A file is one flat JSON object. A value is a text with {placeholders}, or an
// object with a form for each plural category of the language (CLDR: zero, one,
// two, few, many, other), selected by the argument n or by the argument that
// "by" names:
//
//	"session.trials": {"one": "{n} try", "other": "{n} tries"}
//
// In every language, the number 0 and an empty text select the form zero if
// there is one, so that a sentence can omit what does not exist.
//
// Numbers among the arguments are formatted for the language.
package message
