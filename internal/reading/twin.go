package reading

import (
	"newel/internal/measure"
	"newel/internal/recording"
)

// Twin is one session that two people recorded at the same time.
type Twin struct {
	First, Second     recording.Kept
	FirstBy, SecondBy string // names; empty if the scope may not see them
	// Tries are what each person recorded, in order, as the phones sent it.
	// Corrections are left out, because a person who corrects may know the
	// other record.
	Tries []TwinTry
}

// TwinTry is one trial as two people recorded it. An answer is nil if only the
// other person recorded the trial.
type TwinTry struct{ First, Second *recording.Answer }

// Same reports whether both answers have the same outcome and help.
func (t TwinTry) Same() bool {
	return t.First != nil && t.Second != nil && answerCode(t.First) == answerCode(t.Second)
}

func answerCode(a *recording.Answer) string {
	if a == nil {
		return ""
	}
	return string(a.Outcome) + " " + a.Help
}

// Agreement returns the trial-by-trial interobserver agreement (common
// practice). A trial that only one person recorded counts as a disagreement.
// same is the number of agreements; percent is nil if neither recorded any
// trial.
func (t Twin) Agreement() (same int, percent *float64) {
	var codes [2][]string
	for _, try := range t.Tries {
		codes[0], codes[1] = append(codes[0], answerCode(try.First)), append(codes[1], answerCode(try.Second))
		if try.Same() {
			same++
		}
	}
	return same, measure.AgreeOnTrials(codes[0], codes[1]).Trial
}

// SentAnswers returns a recording's answers as the phone sent them, without
// those undone on the phone.
func SentAnswers(r recording.Kept) []*recording.Answer {
	var answers []*recording.Answer
	for _, trial := range recording.Apply(r.State, nil).Trials {
		if !trial.Void && trial.Answer != nil {
			answers = append(answers, trial.Answer)
		}
	}
	return answers
}
