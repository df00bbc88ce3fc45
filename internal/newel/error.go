package newel

import (
	"errors"
	"fmt"
	"strings"

	"newel/internal/criterion"
)

// The kinds of error that a caller can act on. All other errors are internal:
// they are logged, and the person sees a fixed sentence.
var (
	// ErrNotFound: it does not exist, or the actor may not know that it does.
	// The two are indistinguishable, so that ids cannot be probed.
	ErrNotFound = errors.New("not found")
	// ErrForbidden: the actor may know that it exists, but may not do this with
	// it.
	ErrForbidden = errors.New("forbidden")
	// ErrConflict: someone else changed it first.
	ErrConflict = errors.New("changed by someone else")
	// ErrGone: it existed and was permanently erased or used up.
	ErrGone = errors.New("gone")
	// ErrUnauthenticated: no one is signed in.
	ErrUnauthenticated = errors.New("not signed in")
	// ErrBusy: the server is busy; try again shortly.
	ErrBusy = errors.New("busy")
)

// Problem is one problem with a person's input. Field names the input (in lists
// with an index, such as "steps.2.criterion"); Key and Args select a sentence
// of the message catalog.
type Problem struct {
	Field string
	Key   string
	Args  map[string]any
}

// Invalid is returned when input cannot be accepted. Nothing was changed.
type Invalid struct{ Problems []Problem }

// Error lists fields and keys; the message catalog has the sentences for
// people.
func (e *Invalid) Error() string {
	parts := make([]string, len(e.Problems))
	for i, p := range e.Problems {
		parts[i] = p.Field + ": " + p.Key
	}
	return "invalid input: " + strings.Join(parts, "; ")
}

// Add adds a problem with a field.
func (e *Invalid) Add(field, key string, args ...any) {
	p := Problem{Field: field, Key: key}
	if len(args) > 0 {
		p.Args = map[string]any{}
		for i := 0; i+1 < len(args); i += 2 {
			p.Args[fmt.Sprint(args[i])] = args[i+1]
		}
	}
	e.Problems = append(e.Problems, p)
}

// OrNil returns e if there is a problem, and nil otherwise.
func (e *Invalid) OrNil() error {
	if len(e.Problems) == 0 {
		return nil
	}
	return e
}

// AddUnreadable adds a criterion's parse error: the part that failed and a
// valid example.
func (e *Invalid) AddUnreadable(field string, err error) {
	var p *criterion.ParseError
	if !errors.As(err, &p) {
		e.Add(field, "criterion.unreadable", "example", "80% independent in 3 sessions in a row")
		return
	}
	e.Add(field, "criterion."+string(p.Kind), "part", p.Part, "reason", p.Reason, "example", p.Example)
}
