// Package programfile reads and writes programs as files that people can read,
// change and keep: one YAML file a program, alone or in a zip with its pictures.
// docs/program-file.md describes the format.
//
// The fields of a file are those of program.Document by their names there, so that
// a field that documents come to have is in the file as well. What is empty is
// left out. The same document always gives the same bytes: they are written
// here, and the YAML library only reads.
package programfile
