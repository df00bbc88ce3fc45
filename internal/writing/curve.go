package writing

import (
	"strconv"
	"strings"
	"sync"

	"newel/internal/criterion"
	"newel/internal/exact"
	"newel/internal/newel"
	"newel/internal/program"
)

// CriterionInput is a criterion to analyze: the sentence, or the form if Parts
// is set.
type CriterionInput struct {
	Step   string // key
	Text   string
	Parts  *criterion.Parts
	Trials string // planned, as typed
}

// CriterionView is an analyzed criterion: as a sentence, as a form, and what it
// requires.
type CriterionView struct {
	Text      string               // as typed, or as generated from the form
	Criterion *criterion.Criterion // nil if it is invalid
	Problem   *newel.Problem       // why
	Parts     criterion.Parts
	Levels    []string // help levels, from least to most
	Trials    int      // per session: planned, or as many as the criterion requires
	Assumed   bool     // no number is set; see AssumedTrials
	Odds      *OddsCurve
	Luck      *Luck  // nil if it cannot be told
	Fixes     []*Fix // which would make the criterion sound; none while the number of trials is assumed
	Checked   bool   // the program has maintenance checks
}

// AssumedTrials is the number of trials per session if neither the step nor its
// criterion sets one.
const AssumedTrials = 10

// OddsCurve describes how a criterion treats learners by the percentage of
// trials they get correct.
type OddsCurve struct {
	Percent  []int
	Within10 []float64
	Within20 []float64
	Expected []*float64 // sessions until it is met; nil: never
}

// ReadCriterion analyzes a criterion in the context of the step.
func (o *Curves) ReadCriterion(d *program.Document, step *program.Step, in CriterionInput) CriterionView {
	v := CriterionView{Text: in.Text, Levels: d.HelpNames(), Checked: len(d.MaintenanceWeeks) > 0}
	if in.Parts != nil {
		v.Parts = *in.Parts
		v.Text = in.Parts.String()
	}
	c, err := criterion.Parse(v.Text, d.Vocabulary(step))
	if err != nil {
		var e newel.Invalid
		e.AddUnreadable("criterion", err)
		v.Problem = &e.Problems[0]
		return v
	}
	v.Criterion, v.Parts = &c, c.Parts()
	if in.Parts != nil {
		v.Text = c.String()
	}
	planned, _ := strconv.Atoi(strings.TrimSpace(in.Trials))
	v.Trials = max(planned, c.Trials)
	if v.Trials == 0 && c.Goal.Measure == criterion.Accuracy {
		v.Trials, v.Assumed = AssumedTrials, true
	}
	v.Odds = o.of(c, v.Levels, v.Trials)
	v.luck(d, step, c, planned)
	return v
}

func (v *CriterionView) luck(d *program.Document, step *program.Step, c criterion.Criterion, planned int) {
	if !step.Measure.ByTrial() {
		return
	}
	v.Luck = luckOf(d, step, c, v.Trials)
	if v.Luck == nil || v.Assumed {
		return
	}
	typed := *step
	typed.Trials = planned
	v.Fixes = v.Luck.Fixes(&typed)
}

// Curves analyzes criteria. It caches curves by canonical text and number of
// trials, which determine them.
type Curves struct {
	mu     sync.Mutex
	curves map[string]*OddsCurve
}

// maxCurves limits the cache, which is then emptied.
const maxCurves = 500

// of returns the curve of a criterion, or nil if none can be computed.
func (o *Curves) of(c criterion.Criterion, levels []string, trials int) *OddsCurve {
	key := c.String() + "|" + strconv.Itoa(trials)
	o.mu.Lock()
	curve, known := o.curves[key]
	o.mu.Unlock()
	if known {
		return curve
	}
	curve = oddsCurve(c, levels, trials)
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.curves == nil || len(o.curves) >= maxCurves {
		o.curves = map[string]*OddsCurve{}
	}
	o.curves[key] = curve
	return curve
}

// oddsCurve returns nil if the odds are unknown: for measures other than
// percentages of correct trials, for two goals, for each target, and for very
// long windows.
func oddsCurve(c criterion.Criterion, levels []string, trials int) *OddsCurve {
	q := criterion.OddsQuestion{Criterion: c.String(), HelpLevels: levels, Trials: trials, Sessions: []int{10, 20}}
	curve := &OddsCurve{}
	for percent := 0; percent <= 100; percent += 5 {
		curve.Percent = append(curve.Percent, percent)
		q.Accuracy = append(q.Accuracy, exact.Frac(int64(percent), 100))
	}
	answer, err := criterion.Odds(q)
	if err != nil {
		return nil
	}
	for _, row := range answer.Rows {
		curve.Within10 = append(curve.Within10, row.Within[0])
		curve.Within20 = append(curve.Within20, row.Within[1])
		curve.Expected = append(curve.Expected, row.ExpectedSessions)
	}
	return curve
}

// At returns how the criterion treats a learner with that percentage, which
// must be a multiple of five.
func (o *OddsCurve) At(percent int) (within10, within20 float64, expected *float64) {
	i := percent / 5
	return o.Within10[i], o.Within20[i], o.Expected[i]
}
