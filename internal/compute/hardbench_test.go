package compute

import "testing"

// BenchmarkHard measures the inputs that once exploded.
func BenchmarkHard(b *testing.B) {
	for _, c := range []struct{ name, kind, in string }{
		{"trend, 2,000 values of 17 digits", "trend", `{"y": ` + list(2000, digits17(-15, 3)) + `}`},
		{"effect, 2 × 2,000 values of 17 digits", "effect", `{"improvement": "up", "a": ` + list(2000, digits17(-15, 3)) + `, "b": ` + list(2000, digits17(-15, 3)) + `}`},
		{"evaluate, 100,000 durations of 17 digits", "evaluate", session(list(100_000, digits17(-15, 3)))},
		{"order, 1,000 trials that cannot be placed", "order", `{"targets": ` + list(33, quoted) + `, "trials": 999, "rule": "rotation", "positions": 3, "max_same": 1, "seed": 3}`},
	} {
		kind, _ := Find(c.kind)
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, _ = kind.Answer([]byte(c.in))
			}
		})
	}
}
