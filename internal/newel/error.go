package newel

import (
	"errors"
	"fmt"
	"strings"

	"newel/internal/criterion"
)

// The kinds of error that a caller can act on. Everything else is internal:
// it is logged, and the person sees a fixed sentence.
var (
	// ErrNotFound: there is no such thing, or the actor may not know of it.
	// The two are never told apart, so that ids cannot be probed.
	ErrNotFound = errors.New("not found")
	// ErrForbidden: the actor knows the thing and may not do this with it.
	ErrForbidden = errors.New("forbidden")
	// ErrConflict: somebody else changed it first; look again.
	ErrConflict = errors.New("changed by somebody else")
	// ErrGone: it existed and was erased or used up for good.
	ErrGone = errors.New("gone")
	// ErrUnauthenticated: nobody is signed in.
	ErrUnauthenticated = errors.New("not signed in")
	// ErrBusy: the server has too much to do just now; try again shortly.
	ErrBusy = errors.New("busy")
)

// Problem is one thing wrong with what somebody entered. Field names the
// input (for lists with a position, as in "steps.2.criterion"); Key and Args
// name a sentence of the message catalogue.
type Problem struct {
	Field string
	Key   string
	Args  map[string]any
}

// Invalid is returned when input cannot be accepted. Nothing was changed.
type Invalid struct{ Problems []Problem }

// Error lists fields and keys; the sentences for people come from the
// message catalogue.
func (e *Invalid) Error() string {
	parts := make([]string, len(e.Problems))
	for i, p := range e.Problems {
		parts[i] = p.Field + ": " + p.Key
	}
	return "invalid input: " + strings.Join(parts, "; ")
}

// Add notes a problem with a field.
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

// OrNil gives the error if there is a problem, and nil otherwise.
func (e *Invalid) OrNil() error {
	if len(e.Problems) == 0 {
		return nil
	}
	return e
}

// AddUnreadable notes that a criterion cannot be read: which part, and an
// example that can.
func (e *Invalid) AddUnreadable(field string, err error) {
	var p *criterion.ParseError
	if !errors.As(err, &p) {
		e.Add(field, "criterion.unreadable", "example", "80% independent in 3 sessions in a row")
		return
	}
	e.Add(field, "criterion."+string(p.Kind), "part", p.Part, "reason", p.Reason, "example", p.Example)
}
