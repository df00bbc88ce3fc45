package criterion

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"newel/internal/exact"
	"newel/internal/measure"
)

// sessionsOn generates sessions that end day days after the first.
func sessionsOn(day int) *rapid.Generator[Session] {
	return rapid.Custom(func(t *rapid.T) Session {
		s := sessionOf("", day, day)
		s.By = rapid.SampledFrom([]string{"", "ana", "ben"}).Draw(t, "by")
		s.Place = rapid.SampledFrom([]string{"", "home", "park"}).Draw(t, "place")
		s.Kind = rapid.SampledFrom([]Kind{"", Teaching, Teaching, Teaching, Probe, Baseline, Maintenance}).Draw(t, "kind")
		s.PlannedHelp = rapid.SampledFrom([]string{"", "", "model"}).Draw(t, "planned")
		s.Void = rapid.IntRange(0, 9).Draw(t, "void") == 0
		s.EndedEarly = rapid.SampledFrom([]EndedEarly{"", "", "", "", "", EarlyDistress, EarlyForOthers}).Draw(t, "early")
		s.Trials = rapid.SliceOfN(trials(), 0, 8).Draw(t, "trials")
		if rapid.Bool().Draw(t, "counted") {
			s.Count = pointer(rapid.Int64Range(0, 40).Draw(t, "count"))
			s.ObservedS = pointer(exact.Frac(rapid.Int64Range(0, 6000).Draw(t, "observed"), 10))
		}
		if rapid.Bool().Draw(t, "timed") {
			s.DurationsS = []exact.Rat{}
			for range rapid.IntRange(0, 3).Draw(t, "durations") {
				s.DurationsS = append(s.DurationsS, exact.Frac(rapid.Int64Range(0, 900).Draw(t, "duration"), 10))
			}
		}
		s.Intervals = rapid.SliceOfN(rapid.Bool(), 0, 6).Draw(t, "intervals")
		return s
	})
}

func trials() *rapid.Generator[Trial] {
	return rapid.Custom(func(t *rapid.T) Trial {
		trial := Trial{
			Target:  rapid.SampledFrom([]string{"cup", "spoon", "fork"}).Draw(t, "target"),
			Outcome: rapid.SampledFrom(append(measure.Outcomes, measure.Correct, measure.Correct, measure.Incorrect)).Draw(t, "outcome"),
			Help:    rapid.SampledFrom(append([]string{"", "", ""}, helpLevels...)).Draw(t, "help"),
			Void:    rapid.IntRange(0, 19).Draw(t, "void") == 0,
		}
		switch rapid.IntRange(0, 3).Draw(t, "latency") {
		case 0:
			trial.None = true
		case 1:
		default:
			trial.LatencyS = pointer(exact.Frac(rapid.Int64Range(0, 200).Draw(t, "seconds"), 10))
		}
		if rapid.Bool().Draw(t, "choices") {
			trial.Choices = rapid.IntRange(2, 4).Draw(t, "n")
			trial.Position = rapid.IntRange(1, trial.Choices).Draw(t, "position")
		}
		return trial
	})
}

// anyCase generates cases with up to 24 sessions and any criterion.
func anyCase() *rapid.Generator[Case] {
	return rapid.Custom(func(t *rapid.T) Case {
		c := caseOf(criteria().Draw(t, "criterion").String())
		c.TimeZone = rapid.SampledFrom([]string{"UTC", "Asia/Kathmandu", "America/St_Johns"}).Draw(t, "zone")
		n := rapid.IntRange(0, 24).Draw(t, "sessions")
		for day := 1; day <= n; day++ {
			c.Sessions = append(c.Sessions, sessionsOn(day).Draw(t, "session"))
		}
		c.AsOf = firstDay.AddDate(0, 0, rapid.IntRange(0, n+12).Draw(t, "as of"))
		if rapid.Bool().Draw(t, "rule") {
			c.StepBack = "below 50% in 2 sessions in a row"
		}
		if rapid.Bool().Draw(t, "began") {
			c.StartedOn = DateOf(firstDay, time.UTC)
		}
		return c
	})
}

func TestOrderOfInputDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase().Draw(t, "case")
		want := mustEvaluate(t, c)
		c.Sessions = rapid.Permutation(c.Sessions).Draw(t, "order")
		if diff := cmp.Diff(want, mustEvaluate(t, c)); diff != "" {
			t.Fatal(diff)
		}
	})
}

// TestExcludedSessionsChangeNothing checks that excluded sessions change none
// of what is computed from the counted ones.
func TestExcludedSessionsChangeNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase().Draw(t, "case")
		with := mustEvaluate(t, c)
		left := map[string]bool{}
		for _, s := range with.Sessions {
			left[s.ID] = !s.Counted
		}
		c.Sessions = slices.DeleteFunc(slices.Clone(c.Sessions), func(s Session) bool { return left[s.ID] })
		without := mustEvaluate(t, c)
		type core struct {
			MetBy    *string
			Run      Run
			Lacking  []Lacking
			Estimate *Estimate
			Forecast *Forecast
			Progress *Progress
			Evidence *Evidence
			Totals   *Totals
		}
		of := func(r Reading) core {
			return core{r.MetBy, r.Run, r.Lacking, r.Estimate, r.Forecast, r.Progress, r.Evidence, r.Totals}
		}
		if diff := cmp.Diff(of(with), of(without)); diff != "" {
			t.Fatal(diff)
		}
	})
}

// TestReadingIsConsistent checks invariants of every reading.
func TestReadingIsConsistent(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase().Draw(t, "case")
		r := mustEvaluate(t, c)
		if (r.Status == StatusMet) != (r.MetBy != nil) {
			t.Fatalf("status %s, met by %v", r.Status, r.MetBy)
		}
		if r.MetBy != nil && (len(r.Lacking) > 0 || r.Forecast != nil || r.IdleFrom != nil || r.Run.Have < r.Run.Need) {
			t.Fatalf("met, but %+v", r)
		}
		known := map[string]SessionReading{}
		for _, s := range r.Sessions {
			known[s.ID] = s
			if s.Over && s.Value != nil || !s.Counted && (s.Value != nil || s.Over || s.Qualifies || s.Barred != "") {
				t.Fatalf("%+v is inconsistent", s)
			}
			if s.Qualifies && s.Barred != "" {
				t.Fatalf("%+v is barred and qualifies", s)
			}
		}
		place := -1
		for _, f := range r.Flags {
			at := slices.Index(FlagKinds, f.Kind)
			if at <= place {
				t.Fatalf("flags out of order: %v", r.Flags)
			}
			place = at
			if len(f.Sessions) == 0 && f.Kind != Idle {
				t.Fatalf("%s is based on no sessions", f.Kind)
			}
			for _, id := range f.Sessions {
				if _, ok := known[id]; !ok {
					t.Fatalf("%s is based on %s, which does not exist", f.Kind, id)
				}
			}
		}
		if f := r.Forecast; f != nil && (f.Probability < 0 || f.Probability > 1) {
			t.Fatalf("%+v", f)
		}
	})
}

// TestOffRaisesNothingElse checks that switching off flags only removes them.
// Close also goes when what it replaces is switched off.
func TestOffRaisesNothingElse(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase().Draw(t, "case")
		before := mustEvaluate(t, c)
		c.Rules.Off = rapid.SliceOfDistinct(rapid.SampledFrom(FlagKinds), func(k FlagKind) FlagKind { return k }).Draw(t, "off")
		after := mustEvaluate(t, c)
		want := slices.DeleteFunc(before.Flags, func(f Flag) bool {
			if f.Kind == Close && slices.ContainsFunc(closeReplaces, func(r flagRule) bool { return slices.Contains(c.Rules.Off, r.kind) }) {
				return !slices.ContainsFunc(after.Flags, func(f Flag) bool { return f.Kind == Close })
			}
			return slices.Contains(c.Rules.Off, f.Kind)
		})
		if diff := cmp.Diff(want, after.Flags); diff != "" {
			t.Fatal(diff)
		}
	})
}

// TestQualifyingInARowNeverLowersHave applies while the criterion is not met.
func TestQualifyingInARowNeverLowersHave(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase().Draw(t, "case")
		c.Criterion = Criterion{
			Goal:   Goal{Number: exact.Int(rapid.Int64Range(0, 100).Draw(t, "percent"))},
			Window: Window{Need: rapid.IntRange(1, 8).Draw(t, "need")},
			People: rapid.IntRange(0, 3).Draw(t, "people"),
		}.String()
		c.AsOf = firstDay.AddDate(0, 1, 0)
		before := mustEvaluate(t, c)
		if before.MetBy != nil {
			return
		}
		s := sessionOf("5/5 id=more", 0, 27)
		c.Sessions = append(slices.Clone(c.Sessions), s)
		after := mustEvaluate(t, c)
		if after.Run.Have != before.Run.Have+1 {
			t.Fatalf("a run of %d, then of %d", before.Run.Have, after.Run.Have)
		}
	})
}

// TestStricterNeverEarlier checks that a stricter goal, window or breadth is
// never met before the looser one.
func TestStricterNeverEarlier(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase().Draw(t, "case")
		c.AsOf = firstDay.AddDate(0, 1, 0)
		percent := rapid.Int64Range(0, 100).Draw(t, "percent")
		loose := Criterion{
			Goal:   Goal{Number: exact.Int(percent)},
			Window: windows().Draw(t, "window"), Days: rapid.IntRange(0, 2).Draw(t, "days"),
		}
		strict := loose
		strict.Goal.Number = exact.Int(rapid.Int64Range(percent, 100).Draw(t, "stricter"))
		strict.Days += rapid.IntRange(0, 2).Draw(t, "more days")
		if loose.Window.InARow() {
			strict.Window.Need += rapid.IntRange(0, 2).Draw(t, "more sessions")
		}
		meets := func(criterion Criterion) int {
			c.Criterion = criterion.String()
			r := mustEvaluate(t, c)
			if r.MetBy == nil {
				return len(r.Sessions)
			}
			return slices.IndexFunc(r.Sessions, func(s SessionReading) bool { return s.ID == *r.MetBy })
		}
		if early, late := meets(strict), meets(loose); early < late {
			t.Fatalf("%s at %d, %s at %d", strict, early, loose, late)
		}
	})
}
