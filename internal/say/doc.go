// Package say turns app's results into view models with sentences in the
// reader's language. It knows no HTTP and no database.
package say
