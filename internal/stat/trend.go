package stat

// KendallS returns the better pairs minus the worse pairs over all (earlier,
// later) pairs of n values. better(i, j) returns 1 if value j is better than
// value i, -1 if worse, 0 for a tie. Divided by n(n−1)/2 the result is
// Kendall's tau-a.
func KendallS(n int, better func(i, j int) int) int {
	s := 0
	for j := 1; j < n; j++ {
		for i := range j {
			s += better(i, j)
		}
	}
	return s
}

// TauBelow reports whether Kendall's tau-a of n values, s ÷ (n(n−1)/2), is
// below num/den. The comparison is exact. With fewer than two values tau is
// undefined and TauBelow returns false.
func TauBelow(s, n, num, den int) bool {
	return n >= 2 && s*den < num*(n*(n-1)/2)
}
