package criterion

import (
	"fmt"
	"testing"

	"newel/internal/exact"
)

// placement returns an unmet placement of 60 sessions with 20 trials each, with
// varying help, people and places, so that every rule has work to do.
func placement() Case {
	var words []string
	for i := range 60 {
		correct := 8 + i*7%9
		words = append(words, fmt.Sprintf("%d/20 with=model*2 lat=3 choices=3 pos=2 by=%s place=%s",
			correct, []string{"ana", "ben"}[i%2], []string{"home", "park", "shop"}[i%3]))
	}
	c := caseOf("90% in 3 sessions in a row, 5 or more trials, across 2 people", words...)
	c.StepBack = "below 20% in 2 sessions in a row"
	return c
}

func BenchmarkEvaluate(b *testing.B) {
	c := placement()
	b.Run("without forecast", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			s, err := settle(&c)
			if err != nil {
				b.Fatal(err)
			}
			evaluate(s).reading()
		}
	})
	b.Run("with forecast", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if r := mustEvaluate(b, c); r.Forecast == nil {
				b.Fatal("no forecast")
			}
		}
	})
	b.Run("with forecast, of the last 14", func(b *testing.B) {
		c := c
		c.Criterion = "90% in 9 of the last 14 sessions"
		b.ReportAllocs()
		for b.Loop() {
			if r := mustEvaluate(b, c); r.Forecast == nil {
				b.Fatal("no forecast")
			}
		}
	})
}

func BenchmarkOdds(b *testing.B) {
	q := OddsQuestion{Trials: 10, Sessions: []int{5, 10, 20, 50}}
	for i := range 20 {
		q.Accuracy = append(q.Accuracy, exact.Frac(int64(5*i+1), 100))
	}
	for _, criterion := range []string{"3x100%", "80% in 4 of the last 5 sessions", "80% in 8 of the last 10 sessions", "80% in 9 of the last 14 sessions"} {
		b.Run(criterion, func(b *testing.B) {
			q := q
			q.Criterion = criterion
			b.ReportAllocs()
			for b.Loop() {
				mustOdds(b, q)
			}
		})
	}
}

func BenchmarkParse(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse("80% with help up to model in 3 sessions in a row, 5 or more trials, across 2 people", vocabulary); err != nil {
			b.Fatal(err)
		}
	}
}
