package strict

import "fmt"

// Error reports a field of the input that cannot be used: where it is and why.
type Error struct {
	Path string // such as sessions[3].trials[0].outcome; empty for the whole
	Err  error
}

// Error returns path and reason on one line.
func (e *Error) Error() string {
	if e.Path == "" {
		return e.Err.Error()
	}
	return e.Path + ": " + e.Err.Error()
}

// Unwrap returns the reason.
func (e *Error) Unwrap() error { return e.Err }

// At returns an *Error about the field at path.
func At(path, format string, args ...any) error {
	return &Error{Path: path, Err: fmt.Errorf(format, args...)}
}
