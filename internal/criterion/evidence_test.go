package criterion

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestEvidenceTable has the table of the 2.2 rules; the probabilities were
// computed independently of this package.
func TestEvidenceTable(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		criterion   string
		sessions    []string
		want        string
		probability float64
	}{
		{"80% in 3 sessions", series("4/5 4/5 4/5"), "12 of 15, 70%: thin", 0.7973},
		{"80% in 3 sessions", series("4/5 4/5 5/5"), "13 of 15, 70%: fair", 0.9286},
		{"80% in 3 sessions", series("4/5 5/5 5/5"), "14 of 15, 70%: good", 0.9853},
		{"80% in 3 sessions", series("5/5 5/5 5/5"), "15 of 15, 70%: good", 0.9990},
		{"80% in 2 sessions", series("4/5 4/5"), "8 of 10, 70%: thin", 0.7450},
		{"80% in 2 sessions", series("4/5 5/5"), "9 of 10, 70%: fair", 0.9264},
		{"80% in 2 sessions", series("5/5 5/5"), "10 of 10, 70%: good", 0.9932},
		{"80% in 3 sessions", series("8/10 8/10 8/10"), "24 of 30, 70%: fair", 0.8869},
		{"90% in 2 sessions", series("9/10 9/10"), "18 of 20, 80%: fair", 0.8730},
		{"90% in 2 sessions", series("9/10 10/10"), "19 of 20, 80%: good", 0.9681},
		{"100% in 3 sessions", series("2/2 2/2 2/2"), "6 of 6, 90%: thin", 0.7491},
		{"100% in 3 sessions", series("5/5 5/5 5/5"), "15 of 15, 90%: fair", 0.9270},
		{"100% in 3 sessions", series("10/10 10/10 10/10"), "30 of 30, 90%: good", 0.9884},
		{"80% in 3 of the last 4 sessions", series("4/5 1/5 4/5 5/5"), "14 of 20, 70%: thin", 0.4867},
		{"at most 20% in 3 sessions", series("1/10 1/10 0/10"), "2 of 30, 30%: good", 0.9991},
	} {
		e := mustEvaluate(t, caseOf(c.criterion, c.sessions...)).Evidence
		if got := evidenceInShort(e); got != c.want || math.Abs(e.Probability-c.probability) > 5e-5 {
			t.Errorf("%s %v: %s %v, want %s %v", c.criterion, c.sessions, got, e, c.want, c.probability)
		}
	}
}

// TestEvidenceFromMemory: the evidence says how many of the sessions that it
// rests on were written down afterward.
func TestEvidenceFromMemory(t *testing.T) {
	t.Parallel()
	c := caseOf("80% in 2 sessions", "9/10 afterwards", "1/10", "9/10", "9/10 afterwards", "9/10 afterwards")
	if e := mustEvaluate(t, c).Evidence; e == nil || e.Afterwards != 1 {
		t.Errorf("evidence %+v, want 1 of its sessions from memory", e)
	}
}

func evidenceInShort(e *Evidence) string {
	if e == nil {
		return "none"
	}
	return fmt.Sprintf("%d of %d, %g%%: %s", e.Correct, e.Trials, e.Percent, e.Strength)
}

func TestEvidence(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, criterion string
		sessions        []string
		want            string
	}{
		{"not met", "80% in 3 sessions", series("9/10 9/10"), "none"},
		{"later sessions change nothing", "80% in 2 sessions", series("9/10 9/10 0/10 0/10"), "18 of 20, 70%: good"},
		{
			"the whole run, for breadth", "80% in 2 sessions, across 2 people",
			[]string{"1/10 by=ana", "8/10 by=ana", "8/10 by=ana", "9/10 by=ben"},
			"25 of 30, 70%: good",
		},
		{"of the last, without a barred one", "80% in 3 of the last 4 sessions", series("4/5 1/5|early=distress 4/5 5/5"), "13 of 15, 70%: fair"},
		{"an excluded session adds nothing", "80% in 2 sessions, 5 or more trials", series("8/10 1/3 8/10"), "16 of 20, 70%: fair"},
		{"with more help than the criterion allows", "50% in 2 sessions", series("5/10|with=model*5 5/10|with=model*5"), "10 of 20, 40%: fair"},
		{"with the help it allows", "50% with help up to model in 2 sessions", series("5/10|with=model*5 5/10|with=model*5"), "20 of 20, 40%: good"},
		{"within planned help only", "50% in 2 sessions", series("5/10|with=model*5|plan=model 5/10|with=model*5|plan=model"), "10 of 20, 40%: fair"},
		{"no response is an error, declined is no trial", "50% in 1 session", series("8/8|noresp=2|declined=2|nochance=3"), "8 of 10, 40%: good"},
		{"a goal below 10 percent", "5% in 1 session", series("1/10"), "1 of 10, 0%: good"},
		{"at most, near 100 percent", "at most 95% in 1 session", series("9/10"), "9 of 10, 100%: good"},
		{"first trials", "first trial correct in 3 sessions", series("5/6 5/6 5/6"), "3 of 3, 90%: thin"},
		{"errors", "at most 1 error in 2 sessions", series("9/10 9/10"), "none"},
		{"a second goal", "80% in 1 session, and a response within 5 seconds", series("9/10|lat=2"), "none"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			for i, s := range c.sessions {
				c.sessions[i] = strings.ReplaceAll(s, "|", " ")
			}
			if got := evidenceInShort(mustEvaluate(t, caseOf(c.criterion, c.sessions...)).Evidence); got != c.want {
				t.Errorf("%s, want %s", got, c.want)
			}
		})
	}
}

// TestEvidenceOfEachTarget: the target with the least probability is given, and
// of equal ones the first.
func TestEvidenceOfEachTarget(t *testing.T) {
	t.Parallel()
	two := func(criterion, cup, spoon string) *Evidence {
		c := caseOf(criterion, cup+" target=cup", cup+" target=cup")
		for i := range c.Sessions {
			c.Sessions[i].Trials = append(c.Sessions[i].Trials, sessionOf(spoon+" target=spoon", 0, 1).Trials...)
		}
		return mustEvaluate(t, c).Evidence
	}
	for _, c := range []struct{ criterion, cup, spoon, want string }{
		{"80% in 2 sessions, each target", "5/5", "4/5", "8 of 10, 70%: thin"},
		{"80% in 2 sessions, each target", "8/10", "5/5", "16 of 20, 70%: fair"},
		{"80% in 2 sessions, each target", "4/4", "4/4", "8 of 8, 70%: good"},
		{"10% in 2 sessions, each target", "1/2", "4/5", "2 of 4, 0%: good"}, // certain of both
		{"first trial correct in 2 sessions, each target", "3/5", "4/5", "2 of 2, 90%: thin"},
	} {
		if got := evidenceInShort(two(c.criterion, c.cup, c.spoon)); got != c.want {
			t.Errorf("%s, %s and %s: %s, want %s", c.criterion, c.cup, c.spoon, got, c.want)
		}
	}
}

// TestEvidenceStays checks that sessions after the meeting session never change
// the evidence.
func TestEvidenceStays(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase().Draw(t, "case")
		c.AsOf = firstDay.AddDate(0, 1, 0)
		r := mustEvaluate(t, c)
		if r.MetBy == nil {
			if r.Evidence != nil {
				t.Fatalf("%+v before it was met", r.Evidence)
			}
			return
		}
		for _, s := range c.Sessions {
			if s.ID == *r.MetBy {
				c.AsOf = s.EndedAt
			}
		}
		then := mustEvaluate(t, c)
		if evidenceInShort(then.Evidence) != evidenceInShort(r.Evidence) {
			t.Fatalf("%s, then %s", evidenceInShort(then.Evidence), evidenceInShort(r.Evidence))
		}
	})
}
