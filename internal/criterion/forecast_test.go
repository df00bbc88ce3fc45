package criterion

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// TestForecastWorked: 44 of 50 with a run of 2 of 3, computed independently of
// this package when the rules were written: 0.382 within 10 sessions, an even
// chance in 25; Wilson 76.2 to 94.4.
func TestForecastWorked(t *testing.T) {
	t.Parallel()
	r := mustEvaluate(t, caseOf("3x100%", "7/10", "8/10", "9/10", "10/10", "10/10"))
	e, f := r.Estimate, r.Forecast
	if e == nil || f == nil || f.EvenChanceIn == nil {
		t.Fatalf("estimate %v forecast %v", e, f)
	}
	if e.Correct != 44 || e.Trials != 50 || e.Percent != 88 {
		t.Errorf("estimate %+v", e)
	}
	for what, pair := range map[string][2]float64{
		"low":         {e.Low, 76.2},
		"high":        {e.High, 94.4},
		"probability": {100 * f.Probability, 38.2},
	} {
		if math.Abs(pair[0]-pair[1]) > 0.05 {
			t.Errorf("%s: %v, want %v", what, pair[0], pair[1])
		}
	}
	if f.Sessions != 10 || *f.EvenChanceIn != 25 {
		t.Errorf("sessions %d, even chance in %d", f.Sessions, *f.EvenChanceIn)
	}
}

// metWithin computes the forecast in a different way: it tracks the total of
// correct trials alongside the window, and averages each total over the Beta
// distribution in closed form: E[p^a q^b] = B(x+½+a, n−x+½+b) ÷ B(x+½, n−x+½).
func metWithin(w Window, so []bool, trials, sessions, x, n int, reaches func(correct int) bool) float64 {
	type state struct {
		past  string // outcomes so far, as many as matter
		total int
	}
	past := ""
	push := func(past string, yes bool) string {
		if yes {
			past += "1"
		} else {
			past += "0"
		}
		return past[max(0, len(past)-w.Length()):]
	}
	satisfied := func(past string) bool {
		ones := 0
		for _, c := range past {
			if c == '1' {
				ones++
			}
		}
		return past != "" && past[len(past)-1] == '1' && ones >= w.Need
	}
	for _, yes := range so {
		past = push(past, yes)
	}
	choose := make([]float64, trials+1)
	choose[0] = 1
	for j := range trials {
		choose[j+1] = choose[j] * float64(trials-j) / float64(j+1)
	}
	beta := func(a, b float64) float64 {
		la, _ := math.Lgamma(a)
		lb, _ := math.Lgamma(b)
		lab, _ := math.Lgamma(a + b)
		return la + lb - lab
	}
	a, b := float64(x)+0.5, float64(n-x)+0.5
	open, met := map[state]float64{{past, 0}: 1}, 0.0
	for s := 1; s <= sessions; s++ {
		next := map[state]float64{}
		for st, ways := range open {
			for correct := range trials + 1 {
				after := state{push(st.past, reaches(correct)), st.total + correct}
				if !satisfied(after.past) {
					next[after] += ways * choose[correct]
					continue
				}
				failed := s*trials - after.total
				met += ways * choose[correct] * math.Exp(beta(a+float64(after.total), b+float64(failed))-beta(a, b))
			}
		}
		open = next
	}
	return met
}

func TestForecastByADifferentMethod(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		w := Window{Need: rapid.IntRange(1, 3).Draw(t, "need")}
		if rapid.Bool().Draw(t, "of the last") {
			w.Of = w.Need + rapid.IntRange(0, 2).Draw(t, "more")
		}
		percent := rapid.IntRange(0, 100).Draw(t, "percent")
		trials := rapid.IntRange(1, 8).Draw(t, "trials")
		c := Criterion{Goal: Goal{Number: ratOf(itoa(percent))}, Window: w}
		c.Goal.Comparison = Comparison(rapid.IntRange(int(AtLeast), int(Above)).Draw(t, "comparison"))
		var words []string
		for range rapid.IntRange(5, 8).Draw(t, "sessions") {
			words = append(words, itoa(rapid.IntRange(0, trials).Draw(t, "correct"))+"/"+itoa(trials))
		}
		input := caseOf(c.String(), words...)
		r := mustEvaluate(t, input)
		if r.Forecast == nil {
			if r.MetBy == nil {
				t.Fatal("neither met nor forecast")
			}
			return
		}
		y := newYardstick(c.Goal, nil, nil)
		var so []bool
		for _, s := range r.Sessions {
			so = append(so, s.Qualifies)
		}
		o := newSessionOdds(y, trials)
		reaches := func(correct int) bool { return o.low <= correct && correct <= o.high }
		want := metWithin(w, so, trials, 10, r.Estimate.Correct, r.Estimate.Trials, reaches)
		if math.Abs(r.Forecast.Probability-want) > 1e-8 {
			t.Fatalf("%v, want %v", r.Forecast.Probability, want)
		}
		if even := r.Forecast.EvenChanceIn; even != nil && *even <= 12 {
			for sessions, atLeast := range map[int]bool{*even: true, *even - 1: false} {
				p := metWithin(w, so, trials, sessions, r.Estimate.Correct, r.Estimate.Trials, reaches)
				if math.Abs(p-0.5) > 1e-8 && (p >= 0.5) != atLeast {
					t.Fatalf("even chance in %d, but %v within %d", *even, p, sessions)
				}
			}
		}
	})
}

func itoa(n int) string { return strconv.Itoa(n) }

func TestForecastWhen(t *testing.T) {
	t.Parallel()
	five := times(5, "7/10")
	for _, c := range []struct {
		name, criterion string
		sessions        []string
		estimate        bool
		forecast        bool
	}{
		{"no sessions", "80% in 3 sessions", nil, false, false},
		{"one", "80% in 3 sessions", series("7/10"), true, false},
		{"four", "80% in 3 sessions", five[1:], true, false},
		{"five", "80% in 3 sessions", five, true, true},
		{"five, one barred", "80% in 3 sessions", append(five[1:5:5], "7/10 early=distress"), true, false},
		{"met", "70% in 3 sessions", five, true, false},
		{"satisfied, breadth lacking", "70% in 3 sessions, across 2 people", five, true, false},
		{"satisfied before, not now", "70% in 3 sessions, across 2 people", append(five[:5:5], "6/10"), true, true},
		{"a window of 14", "80% in 14 sessions", five, true, true},
		{"a window of 15", "80% in 15 sessions", five, true, false},
		{"of the last 14", "80% in 3 of the last 14 sessions", five, true, true},
		{"of the last 15", "80% in 3 of the last 15 sessions", five, true, false},
		{"two goals", "80% in 3 sessions, and 2 errors", five, false, false},
		{"each target", "80% in 3 sessions, each target", five, false, false},
		{"a different measure", "2 errors in 3 sessions", five, false, false},
		{"with help", "80% with help up to model in 3 sessions", five, true, true},
		{"hopeless", "100% in 14 sessions", times(5, "0/10"), true, true},
	} {
		r := mustEvaluate(t, caseOf(c.criterion, c.sessions...))
		if (r.Estimate != nil) != c.estimate || (r.Forecast != nil) != c.forecast {
			t.Errorf("%s: estimate %v forecast %v", c.name, r.Estimate, r.Forecast)
		}
		if c.name == "hopeless" && (r.Forecast.EvenChanceIn != nil || r.Forecast.Probability > 1e-6) {
			t.Errorf("hopeless: %+v", r.Forecast)
		}
	}
}

// TestForecastTrials checks that m is the median of the five counts, not their
// mean.
func TestForecastTrials(t *testing.T) {
	t.Parallel()
	mixed := mustEvaluate(t, caseOf("80% in 3 sessions", "1/2", "1/2", "5/10", "10/20", "15/30"))
	want := metWithin(Window{Need: 3}, make([]bool, 5), 10, 10, 32, 64, func(correct int) bool { return correct >= 8 })
	if math.Abs(mixed.Forecast.Probability-want) > 1e-8 {
		t.Errorf("%v, want %v", mixed.Forecast.Probability, want)
	}
	if !slices.Equal([]int{mixed.Estimate.Correct, mixed.Estimate.Trials}, []int{32, 64}) {
		t.Errorf("%+v", mixed.Estimate)
	}
}

// TestForecastOfUnevenSessions compares a forecast from few trials for long
// sessions, whose average needs many points, with the other method.
func TestForecastOfUnevenSessions(t *testing.T) {
	t.Parallel()
	r := mustEvaluate(t, caseOf("90% in 10 sessions", series("0/1 1/1 8/8 8/8 7/8")...))
	so := []bool{false, true, true, true, false}
	want := metWithin(Window{Need: 10}, so, 8, 10, 24, 26, func(correct int) bool { return correct == 8 })
	if math.Abs(r.Forecast.Probability-want) > 1e-8 {
		t.Errorf("%v, want %v", r.Forecast.Probability, want)
	}
}

// TestEvenChanceBySymmetry: after 13 of 26, accuracies above and below one half
// are equally likely, so 3 or more of 5 are an even chance, whatever the floats
// make of it.
func TestEvenChanceBySymmetry(t *testing.T) {
	t.Parallel()
	sessions := all(series("5/6 2/5 2/5 2/5 2/5"), "by=ana")
	f := mustEvaluate(t, caseOf("60% in 1 session, across 2 people", sessions...)).Forecast
	if f == nil || f.EvenChanceIn == nil || *f.EvenChanceIn != 1 {
		t.Errorf("%+v, want an even chance in one session", f)
	}
}

// TestSessionAtEstimate: 25 of 50 at 80 % with 10 trials is 1 session in 14,
// computed independently of this package when the rules were written.
func TestSessionAtEstimate(t *testing.T) {
	t.Parallel()
	session := func(criterion string, sessions ...string) *float64 {
		return mustEvaluate(t, caseOf(criterion, sessions...)).Estimate.Session
	}
	if got := session("80% in 3 sessions", times(5, "5/10")...); got == nil || math.Abs(*got-0.0715) > 5e-5 {
		t.Errorf("25 of 50: %v, want 0.0715", got)
	}
	if got := session("80% in 3 sessions", times(4, "5/10")...); got != nil {
		t.Errorf("four sessions: %v", *got)
	}
	if got := session("80% in 3 sessions", times(5, "9/10")...); got == nil {
		t.Error("none once met")
	}
	if got := session("above 100% in 3 sessions", times(5, "10/10")...); got == nil || *got != 0 {
		t.Errorf("a goal that no session meets: %v", got)
	}
	if got := session("0% in 20 sessions", times(5, "0/10")...); got == nil || math.Abs(*got-1) > 1e-9 {
		t.Errorf("a goal that every session meets: %v", got)
	}
}

// TestSessionAtEstimateInClosedForm compares the average with the closed form
// of the beta-binomial distribution.
func TestSessionAtEstimateInClosedForm(t *testing.T) {
	t.Parallel()
	logBeta := func(a, b float64) float64 {
		x, _ := math.Lgamma(a)
		y, _ := math.Lgamma(b)
		z, _ := math.Lgamma(a + b)
		return x + y - z
	}
	rapid.Check(t, func(t *rapid.T) {
		trials, percent := rapid.IntRange(1, 30).Draw(t, "trials"), rapid.IntRange(0, 100).Draw(t, "percent")
		c := caseOf(fmt.Sprintf("%d%% in 20 sessions", percent))
		x, n := 0, 5*trials
		for day := 1; day <= 5; day++ {
			correct := rapid.IntRange(0, trials).Draw(t, "correct")
			x += correct
			c.Sessions = append(c.Sessions, sessionOf(fmt.Sprintf("%d/%d", correct, trials), day, day))
		}
		c.AsOf = c.Sessions[4].EndedAt
		want, a, b := 0.0, float64(x)+0.5, float64(n-x)+0.5
		for k := range trials + 1 {
			if 100*k >= percent*trials {
				ways := -logBeta(float64(k)+1, float64(trials-k)+1) - math.Log(float64(trials)+1)
				want += math.Exp(ways + logBeta(a+float64(k), b+float64(trials-k)) - logBeta(a, b))
			}
		}
		if got := *mustEvaluate(t, c).Estimate.Session; math.Abs(got-want) > 1e-9 {
			t.Fatalf("%v, want %v", got, want)
		}
	})
}
