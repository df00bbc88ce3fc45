package criterion

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/measure"
)

var update = flag.Bool("update", false, "rewrite docs/simulation.md")

// The simulation has simulationLearners invented learners of each kind, each
// with one session a day until the criterion is met, up to simulationSessions.
const (
	simulationFile      = "../../docs/simulation.md"
	simulationLearners  = 300
	simulationSessions  = 30
	simulationTrials    = 10
	simulationNoise     = 0.4 // standard deviation of a session's accuracy, on the logit scale
	simulationCriterion = "80% independent in 3 sessions in a row"
)

// curve is a logistic course from one accuracy to another.
type curve struct {
	name              string
	from, to          float64
	middle, steepness float64 // session of the steepest change; sessions for a factor of e
}

var curves = []curve{
	{"rises soon", 0.20, 0.95, 6, 2},
	{"rises late", 0.20, 0.95, 18, 2},
	{"level at 30%", 0.30, 0.30, 1, 1},
	{"level at 55%", 0.55, 0.55, 1, 1},
	{"level at 75%", 0.75, 0.75, 1, 1},
	{"falls", 0.70, 0.30, 10, 2},
}

// accuracy returns the accuracy in a session, including that session's noise.
func (c curve) accuracy(session int, r *rand.Rand) float64 {
	p := c.from + (c.to-c.from)/(1+math.Exp(-(float64(session)-c.middle)/c.steepness))
	logit := math.Log(p/(1-p)) + simulationNoise*r.NormFloat64()
	return 1 / (1 + math.Exp(-logit))
}

// learnerOutcome is one learner's course under the default rules.
type learnerOutcome struct {
	flaggedAt   int // first session after which the status was stalled; 0 if never
	flaggedDays int
	days        int
	met         bool
}

func (c curve) learner(t *testing.T, r *rand.Rand) (out learnerOutcome) {
	input := caseOf(simulationCriterion)
	for day := 1; day <= simulationSessions; day++ {
		s := sessionOf("", day, day)
		p := c.accuracy(day, r)
		for range simulationTrials {
			o := measure.Incorrect
			if r.Float64() < p {
				o = measure.Correct
			}
			s.Trials = append(s.Trials, Trial{Outcome: o})
		}
		input.Sessions = append(input.Sessions, s)
		input.AsOf = s.EndedAt
		checked, err := settle(&input)
		if err != nil {
			t.Fatal(err)
		}
		reading := evaluate(checked).reading()
		out.days++
		if reading.Status == StatusMet {
			out.met = true
			return out
		}
		if reading.Status == StatusStalled {
			out.flaggedDays++
			if out.flaggedAt == 0 {
				out.flaggedAt = day
			}
		}
	}
	return out
}

// simulated holds the outcomes of all learners of one kind.
type simulated struct {
	curve
	outcomes []learnerOutcome
}

// share is the percentage of learners for whom yes is true.
func (s simulated) share(yes func(learnerOutcome) bool) float64 {
	n := 0
	for _, o := range s.outcomes {
		if yes(o) {
			n++
		}
	}
	return 100 * float64(n) / float64(len(s.outcomes))
}

func (s simulated) everFlagged() float64 {
	return s.share(func(o learnerOutcome) bool { return o.flaggedAt > 0 })
}

// medianFirst returns the median session of the first flag among flagged
// learners.
func (s simulated) medianFirst() string {
	var first []int
	for _, o := range s.outcomes {
		if o.flaggedAt > 0 {
			first = append(first, o.flaggedAt)
		}
	}
	if len(first) == 0 {
		return "–"
	}
	slices.Sort(first)
	return fmt.Sprint(first[len(first)/2])
}

func (s simulated) daysFlagged() float64 {
	flagged, days := 0, 0
	for _, o := range s.outcomes {
		flagged += o.flaggedDays
		days += o.days
	}
	return 100 * float64(flagged) / float64(days)
}

func TestSimulationDrift(t *testing.T) {
	t.Parallel()
	results := make([]simulated, len(curves))
	t.Run("learners", func(t *testing.T) {
		for i, c := range curves {
			t.Run(c.name, func(t *testing.T) {
				t.Parallel()
				r := rand.New(rand.NewPCG(20260301, uint64(i)))
				results[i].curve = c
				for range simulationLearners {
					results[i].outcomes = append(results[i].outcomes, c.learner(t, r))
				}
			})
		}
	})
	soon, level := results[0], results[2]
	if got := soon.everFlagged(); got > 5 {
		t.Errorf("%.0f%% of the learners who rise soon are flagged stalled, more than 5%%", got)
	}
	byTwelve := level.share(func(o learnerOutcome) bool { return o.flaggedAt > 0 && o.flaggedAt <= 12 })
	if byTwelve < 75 {
		t.Errorf("%.0f%% of the learners level at 30%% are flagged by session 12, fewer than 75%%", byTwelve)
	}
	checkDocument(t, simulationDocument(results))
}

func simulationDocument(results []simulated) string {
	var b strings.Builder
	fmt.Fprintf(&b, `# The rules under simulation

A flag asks a supervisor to look. A flag for learners who are doing well costs as much as one that comes late. The tests therefore
run the default rules against invented learners. They write this page, and fail when it no longer matches the rules:

    go test ./internal/criterion -run Drift -update

There are %d learners of each kind, with one session of %d trials a day and at most %d sessions. The default rules judge each learner after every session, with the criterion
"%s". A learner's accuracy follows a logistic curve. Each session adds noise with a standard deviation of %.1f on the logit scale. No
data here come from children: the page shows how the rules behave, not how children learn.

| learners | accuracy | met within %d sessions | ever flagged stalled | first flag at session (median of those flagged) | session-days flagged |
| --- | --- | --- | --- | --- | --- |
`, simulationLearners, simulationTrials, simulationSessions, simulationCriterion, simulationNoise, simulationSessions)
	for _, s := range results {
		course := fmt.Sprintf("%.0f%%", 100*s.from)
		if s.from != s.to {
			course = fmt.Sprintf("%.0f → %.0f%%, steepest at session %.0f", 100*s.from, 100*s.to, s.middle)
		}
		met := s.share(func(o learnerOutcome) bool { return o.met })
		fmt.Fprintf(&b, "| %s | %s | %.0f%% | %.0f%% | %s | %.0f%% |\n",
			s.name, course, met, s.everFlagged(), s.medianFirst(), s.daysFlagged())
	}
	b.WriteString(`
The tests require that at most 5% of the learners who rise soon are ever flagged stalled, and that at least 75% of those level at 30% are flagged by session 12.
`)
	return b.String()
}

func checkDocument(t *testing.T, want string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(simulationFile, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	got, err := os.ReadFile(simulationFile)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, string(got)); diff != "" {
		t.Errorf("docs/simulation.md no longer matches the rules; rewrite it with -update: %s", diff)
	}
}
