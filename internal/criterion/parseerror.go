package criterion

import "fmt"

// ErrorKind is the part of a criterion's text that could not be parsed.
type ErrorKind string

// The kinds of ParseError.
const (
	KindEmpty     ErrorKind = "empty"     // the text is empty
	KindGoal      ErrorKind = "goal"      // the goal was not understood
	KindNumber    ErrorKind = "number"    // a number was not understood
	KindRange     ErrorKind = "range"     // a number is out of range
	KindWindow    ErrorKind = "window"    // the number of sessions was not understood
	KindQualifier ErrorKind = "qualifier" // what follows a comma was not understood
	KindTwice     ErrorKind = "twice"     // something appears twice
	KindLevel     ErrorKind = "level"     // the help level is not one of the step's
	KindNeeds     ErrorKind = "needs"     // a qualifier needs something that does not exist
	KindStepBack  ErrorKind = "step_back" // a step-back rule contains too much
)

// ParseError reports a criterion's text that could not be parsed: which part of
// it, why, and a valid example.
type ParseError struct {
	Kind    ErrorKind
	Part    string // the part that was not understood; empty if something is missing
	Reason  string // in English, without capital or period
	Example string // a valid criterion, or part of one
}

// Error returns part, reason and example on one line.
func (e *ParseError) Error() string {
	if e.Part == "" {
		return fmt.Sprintf("%s; for example: %s", e.Reason, e.Example)
	}
	return fmt.Sprintf("%q: %s; for example: %s", e.Part, e.Reason, e.Example)
}

// Examples for error messages; a test parses each of them.
const (
	exampleWhole     = "80% independent in 3 sessions in a row"
	exampleShorthand = "3x100%"
	exampleOfLast    = "80% independent in 4 of the last 5 sessions"
	exampleTrials    = "80% independent in 3 sessions in a row, 5 or more trials"
	exampleBreadth   = "80% independent in 3 sessions in a row, across 2 people"
	exampleTargets   = "80% independent in 3 sessions in a row, each target"
	exampleSecond    = "80% independent in 3 sessions in a row, and a response within 5 seconds"
	exampleStepBack  = "below 50% independent in 2 sessions in a row, 5 or more trials"
	exampleErrors    = "at most 2 errors in 3 sessions in a row"
)
