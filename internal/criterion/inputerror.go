package criterion

// InputError reports a field of the input that cannot be used: where it is and why, such as a
// *ParseError.
type InputError struct {
	Path string // such as sessions[3].trials[0].outcome; empty for the whole document
	Err  error
}

// Error returns the path and the reason in one line.
func (e *InputError) Error() string {
	if e.Path == "" {
		return e.Err.Error()
	}
	return e.Path + ": " + e.Err.Error()
}

// Unwrap returns the reason.
func (e *InputError) Unwrap() error { return e.Err }
