package observation

import (
	"fmt"

	"newel/internal/exact"
	"newel/internal/strict"
)

// Limits on the input: whole days, second by second. The mean of the ratios of
// two observers' counts or times is exact, so its denominator may be as long as
// all of the larger values multiplied; their limits bound it.
const (
	maxCompared  = 100_000
	maxSampledS  = 7 * 24 * 60 * 60
	maxCount     = 10_000 // in one interval
	maxDurations = 5_000
	millionths   = 1_000_000
)

var maxDuration = exact.Int(maxSampledS) // seconds

// ComputeSampling reads an observation as JSON and returns how time sampling
// scores it, as a Sampled. An error about the input is a *strict.Error.
func ComputeSampling(document []byte) (any, error) {
	var bouts []Bout
	var lengthS, intervalS int64
	var how Sampling
	err := strict.Read(document, func(d *strict.Decoder) error {
		return d.Object([]string{"bouts", "length_s", "interval_s", "method"}, func(name string) error {
			switch name {
			case "bouts":
				return strict.List(d, &bouts, func(b *Bout) error { return readBout(d, b) })
			case "length_s":
				return d.Whole(&lengthS)
			case "interval_s":
				return d.Whole(&intervalS)
			case "method":
				return d.Text((*string)(&how))
			}
			return d.Unknown()
		})
	})
	if err == nil {
		err = checkSampling(bouts, lengthS, intervalS, how)
	}
	if err != nil {
		return nil, err
	}
	return Sample(bouts, lengthS, intervalS, how), nil
}

func readBout(d *strict.Decoder, b *Bout) error {
	var ends []int64
	if err := strict.List(d, &ends, d.Whole); err != nil {
		return err
	}
	if len(ends) != 2 {
		return d.Failed("must be two numbers, the seconds at which it starts and ends")
	}
	*b = Bout{ends[0], ends[1]}
	return nil
}

func checkSampling(bouts []Bout, lengthS, intervalS int64, how Sampling) error {
	switch {
	case how != Partial && how != Whole && how != Momentary:
		return strict.At("method", "%q is not one of partial, whole and momentary", string(how))
	case lengthS < 1 || lengthS > maxSampledS:
		return strict.At("length_s", "must be from 1 to %d", maxSampledS)
	case intervalS < 1:
		return strict.At("interval_s", "must be 1 or more")
	case lengthS%intervalS != 0:
		return strict.At("interval_s", "must divide length_s evenly")
	case len(bouts) > maxCompared:
		return strict.At("bouts", "must have at most %d entries", maxCompared)
	}
	for i, b := range bouts {
		if b.Start < 0 || b.End < b.Start || b.End > lengthS {
			return strict.At(fmt.Sprintf("bouts[%d]", i), "must be between 0 and length_s and not end before it starts")
		}
	}
	return nil
}
