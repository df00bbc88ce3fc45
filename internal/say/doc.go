// Package say puts what app answers into words: it makes the view models of
// pages, with their sentences, out of results, in the reader's language. It
// knows no HTTP and no database.
package say
