package observation

import (
	"cmp"
	"encoding/json"
	"fmt"

	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/strict"
)

// records are two observers' records of one session. Items are trials, counts,
// marks or times.
type records[Item any] struct {
	first, second []Item
	fromMemory    bool // at least one was written afterwards
}

// ComputeAgreement reads the records of two observers as JSON and returns a
// measure.CountAgreement, IntervalAgreement, TrialAgreement or
// DurationAgreement. An error about the input is a *strict.Error.
func ComputeAgreement(document []byte) (any, error) {
	// The kind, which decides how to read the lists, may come after them.
	var kind string
	err := strict.Read(document, func(d *strict.Decoder) error {
		return d.Object([]string{"kind", "first", "second"}, func(name string) error {
			switch name {
			case "kind":
				return d.Text(&kind)
			case "first", "second", "first_afterwards", "second_afterwards":
				return d.Skip()
			}
			return d.Unknown()
		})
	})
	if err != nil {
		return nil, err
	}
	switch kind {
	case "counts":
		return agreeOnCounts(document)
	case "intervals":
		return agreeOnIntervals(document)
	case "trials":
		return agreeOnTrials(document)
	case "durations":
		return agreeOnDurations(document)
	}
	return nil, strict.At("kind", "%q is not one of counts, intervals, trials and durations", kind)
}

func agreeOnCounts(document []byte) (any, error) {
	r, err := readRecords(document, maxCompared, readCount)
	switch {
	case err != nil:
		return nil, err
	case r.fromMemory:
		return measure.CountAgreement{Unmatched: measure.FromMemory()}, nil
	}
	return measure.AgreeOnCounts(r.first, r.second), nil
}

func agreeOnIntervals(document []byte) (any, error) {
	r, err := readRecords(document, maxCompared, (*strict.Decoder).Boolean)
	switch {
	case err != nil:
		return nil, err
	case r.fromMemory:
		return measure.IntervalAgreement{Unmatched: measure.FromMemory()}, nil
	}
	return measure.AgreeOnIntervals(r.first, r.second), nil
}

func agreeOnDurations(document []byte) (any, error) {
	r, err := readRecords(document, maxDurations, readDuration)
	switch {
	case err != nil:
		return nil, err
	case r.fromMemory:
		return measure.DurationAgreement{Unmatched: measure.FromMemory()}, nil
	}
	if len(r.first) != len(r.second) {
		if err := alignable(len(r.first), len(r.second)); err != nil {
			return nil, err
		}
	}
	return measure.AgreeOnDurations(r.first, r.second), nil
}

// trial is a measure.Observed, or only its code.
type trial struct {
	measure.Observed
	bare bool
}

func agreeOnTrials(document []byte) (any, error) {
	r, err := readRecords(document, maxCompared, readTrial)
	if err == nil {
		err = cmp.Or(uniqueKeys("first", r.first), uniqueKeys("second", r.second))
	}
	switch {
	case err != nil:
		return nil, err
	case r.fromMemory:
		return measure.TrialAgreement{Unmatched: measure.FromMemory()}, nil
	}
	first, firstBare := observed(r.first)
	second, secondBare := observed(r.second)
	if firstBare && secondBare && len(first) == len(second) {
		return measure.AgreeByNumber(codes(first), codes(second)), nil
	}
	if measure.MatchingOf(first, second) != measure.ByKey {
		if err := alignable(len(first), len(second)); err != nil {
			return nil, err
		}
	}
	return measure.AgreeOnTrials(first, second), nil
}

func observed(trials []trial) (list []measure.Observed, bare bool) {
	bare = true
	for _, t := range trials {
		list, bare = append(list, t.Observed), bare && t.bare
	}
	return list, bare
}

func codes(list []measure.Observed) []string {
	out := make([]string, len(list))
	for i, o := range list {
		out[i] = o.Code
	}
	return out
}

// readTrial reads a code, or an object with a code.
func readTrial(d *strict.Decoder, t *trial) error {
	coded := false
	token, err := d.Any(func(name string) error {
		switch name {
		case "code":
			coded = true
			return d.Text(&t.Code)
		case "target":
			return d.Text(&t.Target)
		case "key":
			key, err := d.NumberOrText()
			if err == nil && key == "" {
				err = d.Failed("must not be empty")
			}
			t.Key = key
			return err
		case "at_s":
			return d.OptionalNumber(&t.AtS)
		}
		return d.Unknown()
	}, d.Skip)
	if err != nil {
		return err
	}
	switch token := token.(type) {
	case string:
		t.Code, t.bare = token, true
		return nil
	case json.Delim:
		if token == '{' && coded {
			return nil
		}
	}
	return d.Failed("must be a code as a text, or an object with a code")
}

// uniqueKeys checks that no key appears twice in a list.
func uniqueKeys(list string, trials []trial) error {
	seen := map[string]bool{}
	for i, t := range trials {
		if t.Key != "" && seen[t.Key] {
			return strict.At(fmt.Sprintf("%s[%d].key", list, i), "appears twice in this list: %q", t.Key)
		}
		seen[t.Key] = true
	}
	return nil
}

// alignable checks that lists of these lengths are short enough to be aligned.
func alignable(first, second int) error {
	return cmp.Or(
		within("first", first, measure.MaxAligned, " to be paired by time or order"),
		within("second", second, measure.MaxAligned, " to be paired by time or order"),
	)
}

func within(list string, n, most int, why string) error {
	if n > most {
		return strict.At(list, "must have at most %d entries%s; it has %d", most, why, n)
	}
	return nil
}

func readCount(d *strict.Decoder, n *int64) error {
	if err := d.Whole(n); err != nil {
		return err
	}
	switch {
	case *n < 0:
		return errNegative(d)
	case *n > maxCount:
		return d.Failed("must be at most %d", maxCount)
	}
	return nil
}

func readDuration(d *strict.Decoder, seconds *exact.Rat) error {
	if err := d.Number(seconds); err != nil {
		return err
	}
	switch {
	case seconds.Sign() < 0:
		return errNegative(d)
	case maxDuration.Less(*seconds):
		return d.Failed("must be at most %s seconds", maxDuration)
	case !seconds.Mul(exact.Int(millionths)).IsInt():
		return d.Failed("must have at most six decimal places")
	}
	return nil
}

func errNegative(d *strict.Decoder) error { return d.Failed("must not be negative") }

// readRecords reads both lists, of at most most entries each, and whether they
// were written afterwards.
func readRecords[Item any](document []byte, most int, read func(*strict.Decoder, *Item) error) (r records[Item], err error) {
	var first, second bool
	err = strict.Read(document, func(d *strict.Decoder) error {
		list := func(into *[]Item) error {
			return strict.List(d, into, func(v *Item) error { return read(d, v) })
		}
		return d.Object(nil, func(name string) error {
			switch name {
			case "first":
				return list(&r.first)
			case "second":
				return list(&r.second)
			case "first_afterwards":
				return d.Boolean(&first)
			case "second_afterwards":
				return d.Boolean(&second)
			}
			return d.Skip()
		})
	})
	r.fromMemory = first || second
	if err == nil {
		err = cmp.Or(within("first", len(r.first), most, ""), within("second", len(r.second), most, ""))
	}
	return r, err
}
