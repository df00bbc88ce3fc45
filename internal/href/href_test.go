package href

import (
	"testing"

	"newel/internal/newel"
)

func TestTo(t *testing.T) {
	t.Parallel()
	learner, consent := newel.NewID[newel.LearnerID](), newel.NewID[newel.ConsentID]()
	for name, tc := range map[string]struct{ got, want string }{
		"one id":          {Learner.To(learner), "/learners/" + learner.String()},
		"an id within":    {LearnerCare.To(learner), "/learners/" + learner.String() + "/care"},
		"two ids":         {LearnerConsentWithdraw.To(learner, consent), "/learners/" + learner.String() + "/consents/" + consent.String() + "/withdraw"},
		"text is escaped": {Join.To("a/b?c#d e"), "/join/a%2Fb%3Fc%23d%20e"},
		"text in braces":  {Demo.To("{who}", "x"), "/demo/%7Bwho%7D/x"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if tc.got != tc.want {
				t.Errorf("got %s, want %s", tc.got, tc.want)
			}
		})
	}
}

func TestQuery(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct{ got, want string }{
		"nothing":            {Query(Caseload), "/caseload"},
		"in the order given": {CaseloadAfter(3, 1), "/caseload?seen=3&left=1"},
		"escaped":            {SignInThen("/progress/1?x=day&sort=a"), "/sign-in?next=%2Fprogress%2F1%3Fx%3Dday%26sort%3Da"},
		"no state":           {InState(Programs, ""), "/programs"},
		"a state":            {InState(Programs, "draft"), "/programs?version=draft"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if tc.got != tc.want {
				t.Errorf("got %s, want %s", tc.got, tc.want)
			}
		})
	}
}
