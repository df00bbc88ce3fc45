package stat

// KendallS returns the better pairs minus the worse pairs over all (earlier,
// later) pairs of n values: better(i, j) is 1 when value j is better than value
// i, -1 when worse, 0 for a tie. Divided by n(n−1)/2 it is Kendall's tau-a.
func KendallS(n int, better func(i, j int) int) int {
	s := 0
	for j := 1; j < n; j++ {
		for i := range j {
			s += better(i, j)
		}
	}
	return s
}

// TauBelow reports whether s ÷ (n(n−1)/2), Kendall's tau-a of n values, is
// below num/den, exactly. With fewer than two values there is no tau, and the
// answer is false.
func TauBelow(s, n, num, den int) bool {
	return n >= 2 && s*den < num*(n*(n-1)/2)
}
