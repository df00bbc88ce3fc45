package criterion

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"slices"
	"testing"
)

// placed is one step with its criterion, on which a learner is taught once a
// day until the criterion is met, at most for a number of sessions.
type placed struct {
	criterion string
	stepBack  string
	targets   []string
	sessions  int
	proposals []rule            // candidate rules, looked at beside those of the evaluator
	sees      func(*evaluation) // if set, is shown every evaluation
}

// flagSet is a set of flags, by their index in FlagKinds.
type flagSet uint32

func flagsOf(kinds ...FlagKind) (s flagSet) {
	for _, k := range kinds {
		s |= 1 << slices.Index(FlagKinds, k)
	}
	return s
}

// look is what the rules say after one session.
type look struct {
	flags     flagSet
	stalled   bool
	met       bool
	proposals [4]bool // for each candidate rule, whether it is raised
}

// history is what the rules said about one learner after every session, and the
// last evaluation.
type history struct {
	looks []look
	end   *evaluation
}

// teaching is a learner on a placement, session by session.
type teaching struct {
	placed
	input   *Case
	checked settled
	next    func(number int) Session
	end     *evaluation // after the latest session
	close   bool        // the caseload has shown it as close
}

func (p placed) start(next func(number int) Session) (*teaching, error) {
	input := caseOf(p.criterion)
	input.StepBack = p.stepBack
	if p.targets != nil {
		input.Targets = p.targets
	}
	input.AsOf = firstDay
	checked, err := settle(&input)
	return &teaching{placed: p, input: &input, checked: checked, next: next}, err
}

// teach records one more session and looks.
func (t *teaching) teach() look {
	s := t.next(len(t.input.Sessions) + 1)
	t.input.Sessions = append(t.input.Sessions, s)
	t.input.AsOf = s.EndedAt
	t.end = evaluate(t.checked)
	if t.sees != nil {
		t.sees(t.end)
	}
	return t.look(t.end)
}

// follow teaches a learner and looks after every session, as a supervisor who
// opens the page every day would.
func (p placed) follow(next func(number int) Session) (history, error) {
	t, err := p.start(next)
	if err != nil {
		return history{}, err
	}
	var h history
	for len(h.looks) < p.sessions && (len(h.looks) == 0 || !h.met()) {
		h.looks = append(h.looks, t.teach())
	}
	h.end = t.end
	return h, t.checked.checkSessions()
}

func (p placed) look(e *evaluation) look {
	flags := e.flags()
	status := e.status(flags)
	l := look{stalled: status == StatusStalled, met: status == StatusMet}
	for _, f := range flags {
		l.flags |= flagsOf(f.Kind)
	}
	if !l.met {
		for i, proposal := range p.proposals {
			_, l.proposals[i] = proposal(e)
		}
	}
	return l
}

// simulation runs learners and keeps a fingerprint of what the rules said about
// the first few of every kind.
type simulation struct {
	t        *testing.T
	learners int // of each kind
	print    uint64
}

// fingerprinted is how many learners of each kind go into the fingerprint.
const fingerprinted = 2

// simulationSeed seeds every learner's generator together with the learner's
// kind and number, so that no figure depends on what runs before it.
const simulationSeed = 20261201

func generator(kind string, number int) *rand.Rand {
	h := fnv.New64a()
	fmt.Fprintf(h, "%s #%d", kind, number)
	return rand.New(rand.NewPCG(simulationSeed, h.Sum64()))
}

// run follows the learners of one kind on one placement.
func (s *simulation) run(kind string, p placed, l learner) histories {
	s.t.Helper()
	out := make(histories, s.learners)
	for i := range out {
		out[i] = s.follow(i, p, l, generator(kind, i))
	}
	return out
}

// follow follows one learner, the first of a kind being number 0.
func (s *simulation) follow(number int, p placed, l learner, r *rand.Rand) history {
	s.t.Helper()
	h, err := p.follow(l.begin(r))
	if err != nil {
		s.t.Fatal(err)
	}
	if number < fingerprinted {
		s.remember(h)
	}
	return h
}

func (s *simulation) remember(h history) {
	sum := fnv.New64a()
	fmt.Fprintf(sum, "%x", s.print)
	for _, l := range h.looks {
		fmt.Fprint(sum, l)
	}
	s.print = sum.Sum64()
}

// histories are those of the learners of one kind.
type histories []history

// sign is a question to ask of a look, such as whether a flag is raised.
type sign func(look) bool

func stalled(l look) bool { return l.stalled }

func raised(kinds ...FlagKind) sign {
	set := flagsOf(kinds...)
	return func(l look) bool { return l.flags&set != 0 }
}

func proposed(i int) sign { return func(l look) bool { return l.proposals[i] } }

// first returns the first session after which the sign is seen, or 0.
func (h history) first(seen sign) int {
	for i, l := range h.looks {
		if seen(l) {
			return i + 1
		}
	}
	return 0
}

func (h history) met() bool { return h.looks[len(h.looks)-1].met }

func percentOf(part, whole int) float64 {
	if whole == 0 {
		return 0
	}
	return 100 * float64(part) / float64(whole)
}

func (hs histories) share(yes func(history) bool) float64 {
	n := 0
	for _, h := range hs {
		if yes(h) {
			n++
		}
	}
	return percentOf(n, len(hs))
}

func (hs histories) met() float64 { return hs.share(history.met) }

// ever is the percentage of learners for whom the sign is seen after any
// session before the criterion is met.
func (hs histories) ever(seen sign) float64 {
	return hs.share(func(h history) bool { return h.first(seen) > 0 })
}

// weekly is ever, for a supervisor who looks after every fifth session.
func (hs histories) weekly(seen sign) float64 {
	return hs.share(func(h history) bool {
		for i := 4; i < len(h.looks); i += 5 {
			if seen(h.looks[i]) {
				return true
			}
		}
		return false
	})
}

// by is the percentage of learners for whom the sign is seen by the given
// session. It leaves aside those who met the criterion before without it.
func (hs histories) by(session int, seen sign) float64 {
	found, open := 0, 0
	for _, h := range hs {
		switch first := h.first(seen); {
		case first > 0 && first <= session:
			found++
			open++
		case len(h.looks) > session || len(h.looks) == session && !h.met():
			open++
		}
	}
	return percentOf(found, open)
}

// within is the percentage of all learners for whom the sign is seen by the
// given session, whoever met the criterion meanwhile.
func (hs histories) within(session int, seen sign) float64 {
	return hs.share(func(h history) bool { first := h.first(seen); return first > 0 && first <= session })
}

// after is the percentage of learners for whom the sign is seen after exactly
// the given session, of those whose criterion is not met by then.
func (hs histories) after(session int, seen sign) float64 {
	found, open := 0, 0
	for _, h := range hs {
		if len(h.looks) < session || h.looks[session-1].met {
			continue
		}
		open++
		if seen(h.looks[session-1]) {
			found++
		}
	}
	return percentOf(found, open)
}
