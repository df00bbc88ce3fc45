package criterion

import "fmt"

// ErrorKind is what a criterion's text failed on.
type ErrorKind string

// The kinds of ParseError.
const (
	KindEmpty     ErrorKind = "empty"     // nothing was written
	KindGoal      ErrorKind = "goal"      // the goal was not understood
	KindNumber    ErrorKind = "number"    // a number was not understood
	KindRange     ErrorKind = "range"     // a number is out of its range
	KindWindow    ErrorKind = "window"    // how many sessions was not understood
	KindQualifier ErrorKind = "qualifier" // what follows a comma was not understood
	KindTwice     ErrorKind = "twice"     // something is said twice
	KindLevel     ErrorKind = "level"     // the help level is not one of the step's
	KindNeeds     ErrorKind = "needs"     // a qualifier asks for what is not there
	KindStepBack  ErrorKind = "step_back" // a rule for going back says too much
)

// ParseError is a criterion's text that could not be understood: which part of
// it, why, and an example that can be read.
type ParseError struct {
	Kind    ErrorKind
	Part    string // the part of the text that was not understood; empty if it is what is missing
	Reason  string // in English, without capital or full stop
	Example string // a criterion, or a part of one, that can be read
}

// Error puts part, reason and example in one line.
func (e *ParseError) Error() string {
	if e.Part == "" {
		return fmt.Sprintf("%s; for example: %s", e.Reason, e.Example)
	}
	return fmt.Sprintf("%q: %s; for example: %s", e.Part, e.Reason, e.Example)
}

// Examples that every message draws on; a test reads each of them.
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
