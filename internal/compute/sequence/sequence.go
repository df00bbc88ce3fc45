// Package sequence computes the order of a session's trials: which target comes
// when, and where its right answer is. The same question produces the same
// order on every machine and in the phone's code (web/src/ts/phone/sequence.ts,
// checked against this package by a file of examples), so server and phone need
// not exchange it.
//
// An order that a child can predict teaches the order. Hence the rules, which
// are common practice (Gellermann 1933; Green 2001; Grow and LeBlanc 2013;
// recalled): targets and positions occur equally often, none many times in a
// row, and positions are not tied to targets.
package sequence

import "fmt"

// Rule is how targets follow one another.
type Rule string

// The rules.
const (
	Massed   Rule = "massed"   // one target
	Blocked  Rule = "blocked"  // Block trials of each target in turn
	Rotation Rule = "rotation" // mixed
)

// Question specifies the order of one session's trials.
type Question struct {
	Targets []string
	Trials  int
	Rule    Rule
	Block   int // trials of each target in turn; Blocked only
	// Known targets are interspersed in a Rotation: KnownShare hundredths of a
	// percent of all trials, rounded half up.
	Known      []string
	KnownShare int
	Positions  int // positions at which the right answer can be; 0 for none
	MaxSame    int // most times in a row; 0 means DefaultMaxSame
	Seed       uint64
}

// Trial is one trial of the order.
type Trial struct {
	Target   string `json:"target"`
	Position *int   `json:"position"` // from 1; nil if there are none
}

// The limits of a question, and its defaults.
const (
	DefaultMaxSame = 2
	maxTrials      = 1000
	maxTargets     = 50
	maxPositions   = 20
	wholeShare     = 100 * 100 // hundredths of a percent
)

// Make returns the order. An error it returns is a *strict.Error that names the
// field and says what cannot be satisfied.
//
// For a rotation, the order of targets is drawn uniformly from all valid ones
// (beyond about thirty trials, from those made of balanced rounds). Positions
// are then drawn for that order by swapping; see place.
func Make(q Question) ([]Trial, error) {
	if q.MaxSame == 0 {
		q.MaxSame = DefaultMaxSame
	}
	if err := q.check(); err != nil {
		return nil, err
	}
	r := newRandom(q.Seed)
	names := append(append([]string{}, q.Targets...), q.Known...)
	var order, places []int
	var err error
	// Only alternating between two positions can fail for some orders of the
	// targets and work for others.
	known := tables{}
	for attempt := 0; ; attempt++ {
		if order, err = q.targets(known, r); err != nil {
			return nil, err
		}
		if q.Positions == 0 {
			break
		}
		var ok bool
		if places, ok = place(order, len(names), q.Positions, q.MaxSame, r); ok {
			break
		}
		if attempt == attempts {
			return nil, failed("max_same", "no order was found in which positions change at every trial and are not tied to targets: allow %d, or more positions", DefaultMaxSame)
		}
	}
	out := make([]Trial, len(order))
	for i, t := range order {
		out[i].Target = names[t]
		if places != nil {
			position := places[i] + 1
			out[i].Position = &position
		}
	}
	return out, nil
}

const attempts = 50

// targets draws the order of targets, as indices into targets and known
// combined.
func (q *Question) targets(tables tables, r *random) ([]int, error) {
	order := make([]int, q.Trials)
	switch q.Rule {
	case Massed:
		return order, nil
	case Blocked:
		for i := range order {
			order[i] = i / q.Block % len(q.Targets)
		}
		return order, nil
	}
	known := spread(q.Trials, q.knownTrials(), r)
	taught, err := arrange(len(q.Targets), runs(known, false), q.MaxSame, tables, r)
	if err != nil {
		return nil, failed("targets", "%w", err)
	}
	familiar, err := arrange(len(q.Known), runs(known, true), q.MaxSame, tables, r)
	if err != nil {
		return nil, failed("known", "%w", err)
	}
	for i, isKnown := range known {
		if isKnown {
			order[i], familiar = len(q.Targets)+familiar[0], familiar[1:]
		} else {
			order[i], taught = taught[0], taught[1:]
		}
	}
	return order, nil
}

// knownTrials returns the number of known trials, rounded half up.
func (q *Question) knownTrials() int {
	return (2*q.KnownShare*q.Trials + wholeShare) / (2 * wholeShare)
}

// spread returns which trials are known ones. The rarer kind separates
// stretches of the other whose lengths differ by at most one; which stretches
// are longer is drawn.
func spread(trials, known int, r *random) []bool {
	rare, isKnown := known, true
	if trials-known < known {
		rare, isKnown = trials-known, false
	}
	lengths := share(trials-rare, rare+1, r)
	out := make([]bool, 0, trials)
	for i, length := range lengths {
		if i > 0 {
			out = append(out, isKnown)
		}
		for range length {
			out = append(out, !isKnown)
		}
	}
	return out
}

// share divides a whole into parts that differ by at most one; which parts are
// larger is drawn.
func share(whole, parts int, r *random) []int {
	out := make([]int, parts)
	for i := range out {
		out[i] = whole / parts
	}
	for _, i := range r.some(whole%parts, parts) {
		out[i]++
	}
	return out
}

// runs returns the lengths of the unbroken stretches of one kind.
func runs(known []bool, kind bool) []int {
	var out []int
	for i, k := range known {
		switch {
		case k != kind:
		case i > 0 && known[i-1] == kind:
			out[len(out)-1]++
		default:
			out = append(out, 1)
		}
	}
	return out
}

func total(lengths []int) (sum int) {
	for _, n := range lengths {
		sum += n
	}
	return sum
}

// errAlone reports that a single target cannot be rotated.
type errAlone struct{ running, allowed int }

func (e errAlone) Error() string {
	return fmt.Sprintf("one target alone would occur %d times in a row, and max_same allows %d: name more, or take massed", e.running, e.allowed)
}
