package newel

import "time"

// ExpectationResult is the outcome of what a decision expected.
type ExpectationResult string

// The possible outcomes. There is no fourth, because no one has to record one.
const (
	ExpectationMet    ExpectationResult = "true"
	ExpectationNotYet ExpectationResult = "not_yet"
	ExpectationNotMet ExpectationResult = "no"
)

// ExpectationResults lists the outcomes.
var ExpectationResults = []ExpectationResult{ExpectationMet, ExpectationNotYet, ExpectationNotMet}

// Verdict records the outcome of a decision. It never changes; a person who
// comes to a different view adds another, and the latest counts.
type Verdict struct {
	ID          VerdictID
	FamilyID    FamilyID
	DecisionID  DecisionID
	Came        ExpectationResult
	Line        string
	GivenBy     AccountID
	GivenByName string
	GivenAt     time.Time
}

// Expectation is what a decision expected by a day that has passed, while no
// outcome has been recorded.
type Expectation struct {
	Decision DecisionID `json:"decision"`
	Text     string     `json:"text"`
	By       Day        `json:"by"`
}
