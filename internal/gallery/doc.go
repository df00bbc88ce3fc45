// Package gallery shows every component of internal/view with invented content,
// for cmd/gallery and the browser tests. No page of the server uses it.
package gallery
