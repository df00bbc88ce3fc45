package criterion

import (
	"math"
	"math/rand/v2"

	"newel/internal/exact"
	"newel/internal/measure"
)

// A learner of the simulation records one session after another. begin draws
// whatever distinguishes one learner of a kind from the next and returns the
// function that makes session 1, 2, … All chance comes from r.
type learner interface {
	begin(r *rand.Rand) (next func(number int) Session)
}

// course is what a learner can do in session 1, 2, …, without noise: an
// accuracy from 0 to 1, or an amount (seconds, responses a minute).
type course func(session int) float64

func levelAt(value float64) course { return func(int) float64 { return value } }

// rising is a logistic course, also a falling one. Steepness is the number of
// sessions for a factor of e.
func rising(from, to, middle, steepness float64) course {
	return func(session int) float64 {
		return from + (to-from)*logistic((float64(session)-middle)/steepness)
	}
}

// straightLine reaches its end in the given session and stays there.
func straightLine(from, to float64, end int) course {
	return func(session int) float64 {
		return from + (to-from)*min(1, float64(session-1)/float64(end-1))
	}
}

// jump changes from one value to another in the given session.
func jump(from, to float64, at int) course {
	return func(session int) float64 {
		if session < at {
			return from
		}
		return to
	}
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }
func logit(p float64) float64    { return math.Log(p / (1 - p)) }

// noise moves whole sessions away from the course: good days and bad days. It
// has a normal distribution with the standard deviation sd, on the logit scale
// for accuracies and on the logarithmic scale for amounts. carries is the
// correlation of each session's noise with that of the session before.
type noise struct{ sd, carries float64 }

func (n noise) begin(r *rand.Rand) (next func() float64) {
	now := n.sd * r.NormFloat64()
	return func() float64 {
		was := now
		now = n.carries*now + math.Sqrt(1-n.carries*n.carries)*n.sd*r.NormFloat64()
		return was
	}
}

// between is a range of whole numbers, from which each session draws one.
type between struct{ least, most int }

func (b between) draw(r *rand.Rand) int { return b.least + r.IntN(b.most-b.least+1) }

func always(n int) between { return between{n, n} }

// answering is a learner whose trials are right or wrong.
type answering struct {
	course course
	noise  noise
	trials between
	// people, if set, returns who teaches a session and how much easier the
	// learner finds it with them, on the logit scale.
	people func(r *rand.Rand) func(session int) (by string, easier float64)
	// trial makes one trial; if nil, it is correct or incorrect without help.
	trial func(r *rand.Rand, accuracy float64) Trial
	// settle, if set, completes a session.
	settle func(s *Session, session int)
}

func (l answering) begin(r *rand.Rand) func(int) Session {
	deviation := l.noise.begin(r)
	trial := l.trial
	if trial == nil {
		trial = unprompted
	}
	with := func(int) (string, float64) { return "", 0 }
	if l.people != nil {
		with = l.people(r)
	}
	return func(number int) Session {
		s := emptySession(number)
		by, easier := with(number)
		s.By = by
		accuracy := logistic(logit(l.course(number)) + deviation() + easier)
		n := l.trials.draw(r)
		s.Trials = make([]Trial, n)
		for i := range s.Trials {
			s.Trials[i] = trial(r, accuracy)
		}
		if l.settle != nil {
			l.settle(&s, number)
		}
		return s
	}
}

// emptySession is the session of one day.
func emptySession(number int) Session { return sessionOf("", number, number) }

func outcomeOf(right bool) measure.Outcome {
	if right {
		return measure.Correct
	}
	return measure.Incorrect
}

func unprompted(r *rand.Rand, accuracy float64) Trial {
	return Trial{Outcome: outcomeOf(r.Float64() < accuracy)}
}

// prompted makes trials that are correct without help with the accuracy; of
// the others, the given share becomes correct with a model.
func prompted(share float64) func(*rand.Rand, float64) Trial {
	return func(r *rand.Rand, accuracy float64) Trial {
		if r.Float64() < accuracy {
			return Trial{Outcome: measure.Correct}
		}
		return Trial{Outcome: outcomeOf(r.Float64() < share), Help: "model"}
	}
}

// mostlyPrompted makes trials under a planned model: the accuracy is that with
// the help. Of the correct ones the given share needed none.
func mostlyPrompted(without float64) func(*rand.Rand, float64) Trial {
	return func(r *rand.Rand, accuracy float64) Trial {
		t := Trial{Outcome: outcomeOf(r.Float64() < accuracy), Help: "model"}
		if t.Outcome == measure.Correct && r.Float64() < without {
			t.Help = ""
		}
		return t
	}
}

// choosing makes trials with choices, of which a random one is right. With the
// probability bias the learner takes the first position without looking.
func choosing(choices int, bias float64) func(*rand.Rand, float64) Trial {
	return func(r *rand.Rand, accuracy float64) Trial {
		right := 1 + r.IntN(choices)
		chosen := right
		switch {
		case r.Float64() < bias:
			chosen = 1
		case r.Float64() >= accuracy:
			chosen = 1 + (right+r.IntN(choices-1))%choices // any of the others
		}
		return Trial{Outcome: outcomeOf(chosen == right), Choices: choices, Position: chosen}
	}
}

// amounts is a learner who is measured in seconds or counts.
type amounts struct {
	course course
	noise  noise
	record func(r *rand.Rand, amount float64, s *Session)
}

func (l amounts) begin(r *rand.Rand) func(int) Session {
	deviation := l.noise.begin(r)
	return func(number int) Session {
		s := emptySession(number)
		l.record(r, l.course(number)*math.Exp(deviation()), &s)
		return s
	}
}

// latencies records correct trials after a time whose median is the amount.
// Single trials spread around it by spread, on the logarithmic scale.
func latencies(trials int, spread float64) func(*rand.Rand, float64, *Session) {
	return func(r *rand.Rand, amount float64, s *Session) {
		for range trials {
			after := tenths(amount * math.Exp(spread*r.NormFloat64()))
			s.Trials = append(s.Trials, Trial{Outcome: measure.Correct, LatencyS: &after})
		}
	}
}

// responses records how often something happens in five minutes; the amount is
// per minute.
func responses(r *rand.Rand, amount float64, s *Session) {
	s.Count, s.ObservedS = pointer(poisson(r, 5*amount)), pointer(exact.Int(300))
}

// oneDuration records one duration; the amount is in seconds.
func oneDuration(_ *rand.Rand, amount float64, s *Session) {
	s.DurationsS = []exact.Rat{tenths(amount)}
}

// twentyIntervals turns the trials of a session into intervals.
func twentyIntervals(s *Session, _ int) {
	for i := range s.Trials {
		s.Intervals = append(s.Intervals, s.Trials[i].Outcome == measure.Correct)
	}
	s.Trials = nil
}

func tenths(seconds float64) exact.Rat { return exact.Frac(int64(math.Round(10*seconds)), 10) }

// poisson draws a Poisson count by multiplying uniform numbers (Knuth).
func poisson(r *rand.Rand, mean float64) (n int64) {
	for p := r.Float64(); p > math.Exp(-mean); p *= r.Float64() {
		n++
	}
	return n
}
