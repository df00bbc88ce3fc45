// Package programfile reads and writes programs as files that people can read,
// edit and keep: one YAML file per program, alone or in a zip with its
// pictures. docs/program-file.md describes the format.
//
// The fields of a file have the names of program.Document's JSON fields, so
// that new fields of documents appear in files automatically. Empty fields are
// omitted. The same document always produces the same bytes: this package
// writes them itself and uses the YAML library only for reading.
package programfile
