package verification

import (
	"fmt"

	"newel/internal/stat"
	"newel/internal/strict"
)

// inside computes intermediate results that the command line does not expose,
// each selected by its first field.
func inside(document []byte) (any, error) {
	q := struct {
		wilson                         []float64
		z, success                     float64
		significant, run, tosses, wait int
		orders, s, critical            int
	}{z: stat.Z975}
	whole := map[string]*int{
		"significant": &q.significant, "run": &q.run, "tosses": &q.tosses, "wait": &q.wait,
		"orders": &q.orders, "s": &q.s, "critical": &q.critical,
	}
	first := ""
	err := strict.Read(document, func(d *strict.Decoder) error {
		return d.Object(nil, func(name string) error {
			if first == "" {
				first = name
			}
			switch name {
			case "wilson":
				return strict.List(d, &q.wilson, func(f *float64) error { return float(d, f) })
			case "z":
				return float(d, &q.z)
			case "success":
				return float(d, &q.success)
			}
			if into, known := whole[name]; known {
				return d.Integer(into)
			}
			return d.Unknown()
		})
	})
	if err != nil {
		return nil, err
	}
	switch first {
	case "wilson":
		low, high, _ := stat.Wilson(int(q.wilson[0]), int(q.wilson[1]), q.z)
		return map[string]float64{"low": low, "high": high}, nil
	case "significant":
		return map[string]*int{"count": smallest(q.significant, func(c int) bool {
			return stat.NewBinomial(q.significant).Between(c, q.significant, 0.5) < 0.05
		})}, nil
	case "run":
		return map[string]float64{"orders": withRun(q.run, q.tosses)}, nil
	case "wait":
		expected, _ := stat.NewWaiting(q.wait, 0, nil).Expected(q.success)
		return map[string]float64{"expected": expected}, nil
	case "orders":
		return map[string]float64{"p": atLeast(q.orders, q.s)}, nil
	case "critical":
		n := q.critical
		reaches := func(p float64) *int {
			return smallest(n*(n-1)/2, func(s int) bool { return (n*(n-1)/2-s)%2 == 0 && atLeast(n, s) <= p })
		}
		return map[string]*int{"at95": reaches(0.05), "at99": reaches(0.01)}, nil
	}
	return nil, fmt.Errorf("there is no %q", first)
}

func float(d *strict.Decoder, into *float64) error {
	digits, err := d.NumberOrText()
	if err == nil {
		_, err = fmt.Sscan(digits, into)
	}
	return err
}

// smallest returns the smallest of 0 … most for which ok returns true; nil if
// there is none.
func smallest(most int, ok func(int) bool) *int {
	for i := range most + 1 {
		if ok(i) {
			return &i
		}
	}
	return nil
}

// withRun returns the number of sequences of n tosses that contain such a run.
func withRun(run, n int) float64 {
	return stat.NewWaiting(run, 0, nil).Hits(n).Within(0.5)[n] * float64(int64(1)<<n)
}

// atLeast returns the share of the orders of n distinct values whose S is s or
// more.
func atLeast(n, s int) float64 {
	groups := make([]int, n)
	for i := range groups {
		groups[i] = 1
	}
	counts, lowest := stat.OrdersByS(groups)
	some, all := int64(0), int64(0)
	for i, c := range counts {
		all += c
		if lowest+2*i >= s {
			some += c
		}
	}
	return float64(some) / float64(all)
}
