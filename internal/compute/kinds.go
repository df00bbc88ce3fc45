// Package compute implements newel compute: it decodes each kind of document
// and computes its answer. Only that command uses this package and the packages
// in its folder.
package compute

import (
	"slices"

	"newel/internal/compute/answer"
	"newel/internal/compute/observation"
	"newel/internal/compute/preference"
	"newel/internal/compute/sequence"
	"newel/internal/compute/singlecase"
)

// Kind is one computation of newel compute.
type Kind struct {
	Name, Help string
	// Answer computes the answer to one document. An error about the input is a *strict.Error.
	Answer  answer.Computation
	Example string // a document that it answers
	// Limits says how large the input may be, and is part of the contract: within
	// them an answer takes about a second at most. An error about one of them
	// names it. strict.Decoder limits every number to exact.MaxDigits digits.
	Limits string
}

// Kinds lists every kind, in the order of the help.
func Kinds() []Kind {
	return []Kind{
		{
			"evaluate", "the status of a step from its sessions", evaluate,
			`{"as_of": "2026-03-10T09:00:00+08:00", "time_zone": "Asia/Makassar", "criterion": "80% independent in 2 sessions in a row", "sessions": [` +
				`{"id": "s1", "started_at": "2026-03-09T08:00:00+08:00", "ended_at": "2026-03-09T08:05:00+08:00", "trials": [{"outcome": "correct"}, {"outcome": "incorrect"}]}]}`,
			"windows and rules as the criterion language allows; time grows in proportion to sessions and trials",
		},
		{
			"odds", "how likely a criterion is to be met, by true accuracy", odds,
			`{"criterion": "80% independent in 3 sessions in a row", "trials": 10, "accuracy": [0.5, 0.8, 0.9], "sessions": [5, 10, 20]}`,
			"1 to 10,000 trials a session; 1,000 accuracies; windows of 14 sessions; 10,000 sessions, and beyond 64 sessions at most 10,000 for all accuracies together",
		},
		{
			"luck", "whether a criterion is met by luck, or keeps a child waiting who has learned the skill", luck,
			`{"criterion": "80% independent in 2 sessions in a row", "trials": 5}`,
			"as the criterion language allows",
		},
		{
			"effect", "how phase B differs from phase A: overlap, NAP, tau, log ratio", singlecase.ComputeEffect,
			`{"a": [20, 20, 26, 25, 22, 23], "b": [28, 25, 24, 27, 30, 30, 29], "improvement": "up"}`,
			"2,000 values a phase",
		},
		{
			"trend", "the trend of one phase: tests, lines, stability; x defaults to 1, 2, 3 …", singlecase.ComputeTrend,
			`{"y": [20, 30, 30, 50, 40, 60, 70, 70, 90, 80]}`,
			"2,000 values",
		},
		{
			"celeration", "the factor by which counts per minute change in a week", singlecase.ComputeCeleration,
			`{"days": [1, 2, 3, 5, 8], "counts_per_minute": [20, 22, 0, 24, 30], "floor": 0.2}`,
			"2,000 days",
		},
		{
			"agreement", "interobserver agreement: trials (paired by key, time or order), counts, intervals, durations", observation.ComputeAgreement,
			`{"kind": "trials", "first": [{"code": "+", "at_s": 5}, {"code": "-", "at_s": 30}], "second": [{"code": "+", "at_s": 7.5}]}`,
			"100,000 entries a list, 3,000 if trials or durations are paired by time or order; counts of at most 10,000 an interval; durations: 5,000 entries of at most 604,800 seconds with six decimal places",
		},
		{
			"preference", "the scores of a preference assessment: paired, multiple, free", preference.Compute,
			`{"kind": "multiple", "items": ["blocks", "car", "puzzle"], "sessions": [["car", "blocks", "puzzle"], ["car", ""]]}`,
			"1,000 items; 100,000 choices; 1,000 sessions",
		},
		{
			"order", "the order of trials: massed, blocked, rotation", sequence.Compute,
			`{"targets": ["cup", "spoon"], "trials": 10, "rule": "rotation", "known": ["ball", "shoe"], "known_share": 40, "positions": 3, "seed": 7}`,
			"1,000 trials; 50 targets and 50 known ones; 20 positions",
		},
		{
			"sampling", "what partial-interval, whole-interval or momentary time sampling records of an observation", observation.ComputeSampling,
			`{"bouts": [[3, 18], [42, 47]], "length_s": 60, "interval_s": 10, "method": "partial"}`,
			"604,800 seconds; 100,000 bouts",
		},
	}
}

// Find returns the kind with that name.
func Find(name string) (Kind, bool) {
	all := Kinds()
	i := slices.IndexFunc(all, func(k Kind) bool { return k.Name == name })
	if i < 0 {
		return Kind{}, false
	}
	return all[i], true
}
