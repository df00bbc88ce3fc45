package httpd

import (
	"net/http"
	"net/url"
	"testing"

	"newel/internal/app"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
)

// TestReplayNamesFlags checks that the page lists the flags of a placement
// under its own criterion and under the tested one, and the session that first
// raised each.
func TestReplayNamesFlags(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(washing("100% in 3 sessions in a row"), tens(9, 10, 9, 10, 9, 9, 10, 9, 10, 9, 9, 10, 9, 9)...)
	path := "/placements/" + id.String() + "/replay?step_back=&criterion="
	supervisor := s.as(s.Supervisor)
	const own, tried = ".replays tbody td:nth-of-type(1) .raised", ".replays tbody td:nth-of-type(2) .raised"
	supervisor.get(path+url.QueryEscape("95% in 3 sessions in a row")).want(http.StatusOK).check(
		htmlcheck.In(own, htmlcheck.HasText("close to the criterion, first at session")),
		htmlcheck.In(tried, htmlcheck.HasText("close to the criterion, first at session")),
		htmlcheck.In(".replays", htmlcheck.HasText("same number of flags")), htmlcheck.Count(".replays tbody tr", 1),
	)
	supervisor.get(path+url.QueryEscape("80% in 3 sessions in a row")).want(http.StatusOK).check(
		htmlcheck.In(own, htmlcheck.HasText("close to the criterion")), htmlcheck.In(tried, htmlcheck.HasExactText("no flags")),
	)
}

// TestReplayComparesEarlierRules checks that a reading that an earlier version
// of the evaluator made is shown beside today's, whether it is still stored or
// a decision was based on it.
func TestReplayComparesEarlierRules(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(washing("80% in 3 sessions in a row"), tens(4, 4, 4, 4, 4, 4, 4, 4, 4)...)
	path, supervisor := "/placements/"+id.String(), s.as(s.Supervisor)
	s.Exec(t, `update reading set evaluator = 1, status = 'stalled',
		body = (body - 'progress' - 'evidence' - 'totals') || '{"status": "stalled", "flags": [{"kind": "flat", "sessions": []}]}',
		gist = (gist - 'evaluator') || '{"status": "stalled", "flags": [{"kind": "flat", "sessions": []}]}'`, nil)
	earlier := func(more ...htmlcheck.Checker) {
		t.Helper()
		more = append(more, htmlcheck.HasText("needs attention, no progress. Today’s rules on the same sessions: in progress."))
		supervisor.get(path+"/replay").want(http.StatusOK).check(
			htmlcheck.Count(".replays tbody tr", 2), htmlcheck.In(".replays tbody tr:nth-child(2)", more...), htmlcheck.Count(".replays tbody tr:nth-child(2) li", 1))
	}
	earlier()
	_, err := s.app.Decide(t.Context(), s.Supervisor, app.NewForm(), id, app.DecisionInput{Kind: newel.DecisionSeen, Reason: "He is ill this week."})
	if err != nil {
		t.Fatal(err)
	}
	earlier(htmlcheck.HasText("Decision: seen, no change."))
	supervisor.get(path).want(http.StatusOK) // evaluates the stored reading again
	s.teachOn(id, newel.PersonID{}, tens(4)...)
	earlier(htmlcheck.HasText("Decision: seen, no change."))
}
