package writing

import (
	"testing"

	"newel/internal/program"
)

func TestReadCriterion(t *testing.T) {
	t.Parallel()
	var curves Curves
	d, step := document(pattern()), program.Step{}
	v := curves.ReadCriterion(&d, &step, CriterionInput{Text: "80% independent in 3 sessions in a row"})
	if v.Criterion == nil || v.Problem != nil || v.Trials != AssumedTrials || !v.Assumed {
		t.Fatalf("%+v", v)
	}
	if within10, within20, expected := v.Odds.At(100); within10 != 1 || within20 != 1 || expected == nil || *expected != 3 {
		t.Errorf("a learner who is always right: %v, %v, %v", within10, within20, expected)
	}
	if within10, _, expected := v.Odds.At(0); within10 != 0 || expected != nil {
		t.Errorf("a learner who is never right: %v, %v", within10, expected)
	}
	again := curves.ReadCriterion(&d, &step, CriterionInput{Parts: &v.Parts})
	if again.Text != v.Criterion.String() || again.Odds != v.Odds {
		t.Errorf("from the form: %q, the same curve: %t", again.Text, again.Odds == v.Odds)
	}
	if v := curves.ReadCriterion(&d, &step, CriterionInput{Text: "80% independent in 3 sessions in a row", Trials: "6"}); v.Trials != 6 || v.Assumed {
		t.Errorf("planned: %d trials, assumed %t", v.Trials, v.Assumed)
	}
	if v := curves.ReadCriterion(&d, &step, CriterionInput{Text: "most of the time"}); v.Criterion != nil || v.Problem == nil || v.Problem.Field != "criterion" || v.Odds != nil {
		t.Errorf("unreadable: %+v", v)
	}
}
