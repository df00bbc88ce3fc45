package singlecase

import (
	"fmt"
	"math"

	"newel/internal/exact"
	"newel/internal/strict"
)

// CelerationQuestion holds counts per minute by day. Days and counts correspond
// by index.
type CelerationQuestion struct {
	Days            []exact.Rat
	CountsPerMinute []exact.Rat
	// Floor replaces a count of zero, which has no logarithm, with the smallest
	// count the observation could have detected, such as 1 ÷ its minutes. nil
	// for none.
	Floor *exact.Rat
}

// Celeration is the factor by which counts per minute change per week: 10^(7b),
// where b is the least-squares slope of log₁₀ of the count per minute per day.
// 1.25 is a quarter more each week, 0.8 a fifth less.
type Celeration struct {
	PerWeek *float64 `json:"per_week"` // nil without two distinct days
	// DaysToDouble is the doubling time at that rate; nil if counts do not
	// rise.
	DaysToDouble *float64 `json:"days_to_double"`
}

const daysAWeek = 7

// ComputeCeleration reads a CelerationQuestion as JSON and returns the
// Celeration.
func ComputeCeleration(document []byte) (any, error) {
	var q CelerationQuestion
	err := strict.Read(document, func(d *strict.Decoder) error {
		return d.Object([]string{"days", "counts_per_minute"}, func(name string) error {
			switch name {
			case "days":
				return d.Numbers(&q.Days)
			case "counts_per_minute":
				return d.Numbers(&q.CountsPerMinute)
			case "floor":
				return d.OptionalNumber(&q.Floor)
			}
			return d.Unknown()
		})
	})
	if err != nil {
		return nil, err
	}
	return Celerate(q)
}

// Celerate computes the celeration. An error it returns is a *strict.Error.
func Celerate(q CelerationQuestion) (Celeration, error) {
	logs, err := q.logs()
	if err != nil || len(logs) == 0 {
		return Celeration{}, err
	}
	// Use distances from the first point, so that equal counts have a slope of
	// exactly 0 and days do not lose precision.
	days := make([]float64, len(logs))
	for i, d := range q.Days {
		days[i] = d.Sub(q.Days[0]).Float64()
	}
	first := logs[0]
	for i := range logs {
		logs[i] -= first
	}
	slope, ok := slopeOf(days, logs)
	if !ok {
		return Celeration{}, nil
	}
	c := Celeration{PerWeek: pointer(math.Pow(10, daysAWeek*slope))}
	if slope > 0 {
		c.DaysToDouble = pointer(math.Log10(2) / slope)
	}
	return c, nil
}

// logs checks the question and returns log₁₀ of the counts.
func (q *CelerationQuestion) logs() ([]float64, error) {
	if len(q.Days) != len(q.CountsPerMinute) {
		return nil, strict.At("counts_per_minute", "must have as many values as days: %d, not %d", len(q.Days), len(q.CountsPerMinute))
	}
	if len(q.Days) > maxPoints {
		return nil, strict.At("days", "must have at most %d values", maxPoints)
	}
	if q.Floor != nil && q.Floor.Sign() <= 0 {
		return nil, strict.At("floor", "must be more than 0")
	}
	out := make([]float64, len(q.CountsPerMinute))
	for i, c := range q.CountsPerMinute {
		at := fmt.Sprintf("counts_per_minute[%d]", i)
		switch {
		case c.Sign() < 0:
			return nil, strict.At(at, "must not be negative")
		case c.Sign() == 0 && q.Floor == nil:
			return nil, strict.At(at, "0 has no logarithm: set a floor, such as 1 ÷ the minutes observed")
		case c.Sign() == 0:
			c = *q.Floor
		}
		log := math.Log10(c.Float64())
		if math.IsInf(log, 0) {
			return nil, strict.At(at, "is too large for a count per minute")
		}
		out[i] = log
	}
	return out, nil
}

// slopeOf returns the least-squares slope. ok is false without two distinct x.
func slopeOf(x, y []float64) (slope float64, ok bool) {
	middle := mean(x)
	xx, xy := 0.0, 0.0
	for i := range x {
		from := x[i] - middle
		xx += from * from
		xy += from * y[i] // the distances add up to 0, so y needs no middle
	}
	if xx == 0 {
		return 0, false
	}
	return xy / xx, true
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}
