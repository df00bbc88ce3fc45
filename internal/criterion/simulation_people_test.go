package criterion

import (
	"fmt"
	"math/rand/v2"
)

// people returns who teaches each session and how much easier it is with them.
type people = func(r *rand.Rand) func(session int) (by string, easier float64)

// handover: Ana teaches up to one session and Ben from another on; between them
// it is either. It is as easy with both.
func handover(upTo, from int) people {
	return func(r *rand.Rand) func(int) (string, float64) {
		return func(session int) (string, float64) {
			return nameOf(session >= from || session > upTo && r.IntN(2) == 0), 0
		}
	}
}

// handback: Ben teaches from one session to another, and Ana before and after.
func handback(from, to int) people {
	return func(*rand.Rand) func(int) (string, float64) {
		return func(session int) (string, float64) {
			return nameOf(session >= from && session <= to), 0
		}
	}
}

// either: one of the two, at random; it is easier or harder with Ben.
func either(easier float64) people {
	return func(r *rand.Rand) func(int) (string, float64) {
		return ben(easier, func(int) bool { return r.IntN(2) == 0 })(r)
	}
}

// inTurn: one after the other; it is easier or harder with Ben.
func inTurn(easier float64) people {
	return ben(easier, func(session int) bool { return session%2 == 0 })
}

// weekends: Ben teaches two days in seven.
func weekends(easier float64) people {
	return ben(easier, func(session int) bool { return session%7 >= 5 })
}

func ben(easier float64, teaches func(session int) bool) people {
	return func(*rand.Rand) func(int) (string, float64) {
		return func(session int) (string, float64) {
			if teaches(session) {
				return nameOf(true), easier
			}
			return nameOf(false), 0
		}
	}
}

func nameOf(ben bool) string {
	if ben {
		return "ben"
	}
	return "ana"
}

// neverMet is a criterion that 30 sessions cannot meet.
const neverMet = "100% independent in 50 sessions in a row"

// peopleTable: how often the rules see a difference between two people, true or
// false.
func peopleTable(s *simulation) [][]string {
	rows := [][]string{{"learner", "truly differs", "5 trials, noise 0.4", "5, 0.8", "10, 0.4", "10, 0.8", "by 10/15/20/30 (10, 0.4)", "after 10/15/20/30 (10, 0.4)"}}
	for _, k := range []struct {
		name, differs string
		course        course
		people        people
	}{
		{"rises soon, handover in sessions 5–8", "no", risesSoon, handover(4, 9)},
		{"rises over 25, handover in sessions 5–8", "no", risesOver25, handover(4, 9)},
		{"rises over 25, handover in sessions 11–14", "no", risesOver25, handover(10, 15)},
		{"rises over 25, Ben in sessions 10–14 only", "no", risesOver25, handback(10, 14)},
		{"level at 60%, either of two", "no", levelAt(0.60), either(0)},
		{"level at 60%, either, 1.5 logits harder with Ben (25%)", "yes", levelAt(0.60), either(-1.5)},
		{"level at 60%, either, 1 logit harder (36%)", "yes", levelAt(0.60), either(-1)},
		{"level at 60%, in turn, 1.5 logits harder", "yes", levelAt(0.60), inTurn(-1.5)},
		{"level at 60%, Ben at weekends, 1.5 logits harder", "yes", levelAt(0.60), weekends(-1.5)},
		{"rises over 25, either, 1.5 logits harder", "yes", risesOver25, either(-1.5)},
	} {
		row := []string{k.name, k.differs}
		var curve histories
		for _, trials := range []int{5, 10} {
			for _, sd := range []float64{0.4, 0.8} {
				hs := s.run(fmt.Sprint(k.name, trials, sd), placed{criterion: neverMet, sessions: 30},
					answering{course: k.course, noise: noise{sd: sd}, trials: always(trials), people: k.people})
				row = append(row, tenth(hs.ever(raised(DiffersByPerson))))
				if trials == 10 && sd == 0.4 {
					curve = hs
				}
			}
		}
		differs := raised(DiffersByPerson)
		rows = append(rows, append(row, each(curve.within, differs, 10, 15, 20, 30), each(curve.after, differs, 10, 15, 20, 30)))
	}
	return rows
}
