// Package picture makes a picture that somebody has chosen fit to be kept:
// upright, small enough for a phone on a poor line, and rid of everything but
// what it shows. A photo says where and when it was taken, and with what.
package picture
