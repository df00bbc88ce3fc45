package reading

import (
	"newel/internal/measure"
	"newel/internal/recording"
)

// Twin is one session that two people recorded at the same time.
type Twin struct {
	First, Second     recording.Kept
	FirstBy, SecondBy string // names; empty where the scope may not see them
	// Tries are what each wrote down, in order, as the phones sent it: no
	// correction, for whoever corrects has heard of the other.
	Tries []TwinTry
}

// TwinTry is one try as two people saw it. nil: only the other wrote it down.
type TwinTry struct{ First, Second *recording.Answer }

// Same reports whether both say the same of the try: how it ended, and by which
// help.
func (t TwinTry) Same() bool {
	return t.First != nil && t.Second != nil && answerCode(t.First) == answerCode(t.Second)
}

func answerCode(a *recording.Answer) string {
	if a == nil {
		return ""
	}
	return string(a.Outcome) + " " + a.Help
}

// Agreement compares both try by try (interobserver agreement, common
// practice); a try that only one wrote down counts as not the same. same of the
// tries are; percent is nil if neither wrote any down.
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

// SentAnswers are a recording's answers as the phone sent them, without what
// was undone there.
func SentAnswers(r recording.Kept) []*recording.Answer {
	var answers []*recording.Answer
	for _, trial := range recording.Apply(r.State, nil).Trials {
		if !trial.Void && trial.Answer != nil {
			answers = append(answers, trial.Answer)
		}
	}
	return answers
}
