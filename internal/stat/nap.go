package stat

import "math"

// NAPLimits returns the limits of the interval for a probability that a value of
// one group is better than one of the other, from its estimate nap out of m × n
// pairs: method 5 of Newcombe 2006 (Statistics in Medicine 25:559–573; formula
// seen in the documentation of a statistics package). They are the roots θ of
//
//	(nap − θ)² = z²·θ(1−θ)/(mn) · [1 + h((1−θ)/(2−θ) + θ/(1+θ))],  h = (m+n)/2 − 1.
//
// At 1 that has the root θ = 1 whatever the data, and at 0 the root 0: neither is
// taken, so that complete separation of a few points does not claim to be
// certain. ok is false for an empty group.
func NAPLimits(nap float64, m, n int, z float64) (low, high float64, ok bool) {
	if m < 1 || n < 1 {
		return 0, 0, false
	}
	return napLow(nap, m, n, z), 1 - napLow(1-nap, m, n, z), true
}

// napLow returns the lower limit. The upper limit is the lower limit of the
// opposite direction.
func napLow(nap float64, m, n int, z float64) float64 {
	pairs, h := float64(m)*float64(n), float64(m+n)/2-1
	// Positive below the limit, negative between it and nap.
	beyond := func(theta float64) float64 {
		spread := z * z * theta * (1 - theta) / pairs * (1 + h*((1-theta)/(2-theta)+theta/(1+theta)))
		return (nap-theta)*(nap-theta) - spread
	}
	low, high := 0.0, nap
	for range 200 {
		middle := low + (high-low)/2
		if beyond(middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Max(0, low)
}
