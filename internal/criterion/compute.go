package criterion

import "newel/internal/strict"

// InputError reports a field of the input that cannot be used: where it is and why, such as a
// *ParseError.
type InputError = strict.Error

// ComputeEvaluate reads one case as JSON and returns its Reading. An error about the input is an
// *InputError.
func ComputeEvaluate(document []byte) (any, error) {
	c, err := DecodeCase(document)
	if err != nil {
		return nil, err
	}
	return Evaluate(c)
}

// ComputeOdds reads one question about a criterion's odds as JSON and returns its OddsAnswer. An
// error about the input is an *InputError.
func ComputeOdds(document []byte) (any, error) {
	q, err := DecodeOdds(document)
	if err != nil {
		return nil, err
	}
	return Odds(q)
}
