package stat

import "math"

// Node is one point of an average over an unknown accuracy.
type Node struct {
	P, Weight float64
}

// negligible is the share of the largest weight below which a node is dropped.
// All dropped nodes together contribute far less than 1e-9.
const negligible = 1e-15

// JeffreysNodes returns points and weights (summing to 1) that average a
// function over the Beta(x + ½, n − x + ½) distribution, the posterior for an
// accuracy after x correct of n under Jeffreys' prior.
//
// The half in both parameters makes this a Gauss–Chebyshev rule: with p = sin²θ
// the density is proportional to sin^2x θ cos^2(n−x) θ on an even grid, so q
// points average every polynomial of degree up to 2q − 1 − n exactly. degree is
// the degree of the function. For very high degrees fewer points are used:
// enough for 1e-9 with functions built from binomial probabilities of trials
// trials each.
func JeffreysNodes(x, n, degree, trials int) []Node {
	// A binomial tail of t trials changes over a width of about 1/(2√t) in θ,
	// and a window of sessions a few times faster. The same holds for the
	// density and n.
	q := min((n+degree)/2+1, 64+int(12*math.Sqrt(float64(n+trials))))
	nodes := make([]Node, 0, q)
	logs := make([]float64, q)
	highest := math.Inf(-1)
	for i := range q {
		sin, cos := math.Sincos((2*float64(i) + 1) * math.Pi / (4 * float64(q)))
		logs[i] = 2 * (float64(x)*math.Log(sin) + float64(n-x)*math.Log(cos))
		highest = max(highest, logs[i])
	}
	total := 0.0
	for i := range q {
		w := math.Exp(logs[i] - highest)
		if w < negligible {
			continue
		}
		sin := math.Sin((2*float64(i) + 1) * math.Pi / (4 * float64(q)))
		nodes = append(nodes, Node{P: sin * sin, Weight: w})
		total += w
	}
	for i := range nodes {
		nodes[i].Weight /= total
	}
	return nodes
}
