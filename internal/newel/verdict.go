package newel

import "time"

// Came says what came of what a decision expected.
type Came string

// What a person can say of it. There is no fourth: nobody has to say anything.
const (
	CameTrue   Came = "true"
	CameNotYet Came = "not_yet"
	CameNot    Came = "no"
)

// CameKinds lists them.
var CameKinds = []Came{CameTrue, CameNotYet, CameNot}

// Verdict is what somebody says came of a decision. It is written once; who
// judges otherwise later adds another, and the newest holds.
type Verdict struct {
	ID          VerdictID
	FamilyID    FamilyID
	DecisionID  DecisionID
	Came        Came
	Line        string
	GivenBy     AccountID
	GivenByName string
	GivenAt     time.Time
}

// Expectation is what a decision expected by a day that has passed, while
// nobody has said what came of it.
type Expectation struct {
	Decision DecisionID `json:"decision"`
	Text     string     `json:"text"`
	By       Day        `json:"by"`
}
