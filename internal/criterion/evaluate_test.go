package criterion

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func TestWindowAndBreadth(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, criterion string
		sessions        []string
		met             string
		run             Run
		lacking         string
	}{
		{"nothing yet", "80% in 3 sessions", nil, "", Run{0, 3}, "sessions 0/3"},
		{"nothing yet, breadth", "80% in 3 sessions, across 2 days, across 2 people, across 2 places", nil, "", Run{0, 3}, "sessions 0/3 days 0/2 people 0/2 places 0/2"},
		{"one trial", "100% in 1 session", series("1/1"), "s1", Run{1, 1}, ""},
		{"a run of two", "80% in 3 sessions", series("8/10 7/10 8/10 9/10"), "", Run{2, 3}, "sessions 2/3"},
		{"met, then lost", "80% in 2 sessions", series("8/10 8/10 1/10"), "s2", Run{2, 2}, ""},
		{"80 % of 3 is 3", "80% in 1 session", series("2/3"), "", Run{0, 1}, "sessions 0/1"},
		{"8 of 9 is not 88.9 %", "88.9% in 1 session", series("8/9"), "", Run{0, 1}, "sessions 0/1"},
		{"66.7 is more than 2 of 3", "66.7% in 1 session", series("2/3"), "", Run{0, 1}, "sessions 0/1"},
		{"66.6 is not", "66.6% in 1 session", series("2/3"), "s1", Run{1, 1}, ""},
		{"above is strict", "above 80% in 1 session", series("8/10 81/100"), "s2", Run{1, 1}, ""},
		{"below is strict", "below 80% in 1 session", series("8/10 79/100"), "s2", Run{1, 1}, ""},
		{"at most", "at most 80% in 1 session", series("9/10 8/10"), "s2", Run{1, 1}, ""},
		{
			"a run longer than the window, for breadth", "80% in 2 sessions, across 2 people",
			[]string{"8/10 by=ana", "8/10 by=ana", "8/10 by=ana", "8/10 by=ben"},
			"s4",
			Run{4, 2},
			"",
		},
		{
			"a run longer than the window, not capped", "80% in 2 sessions, across 2 people",
			times(4, "8/10 by=ana"), "",
			Run{4, 2},
			"people 1/2",
		},
		{"no person named counts as none", "80% in 1 session, across 1 person", series("8/10"), "", Run{1, 1}, "people 0/1"},
		{"a person at the only session", "80% in 1 session, across 1 person", []string{"8/10 by=ana"}, "s1", Run{1, 1}, ""},
		{"one of two people at the only session", "80% in 1 session, across 2 people", []string{"8/10 by=ana"}, "", Run{1, 1}, "people 1/2"},
		{"met at once, nothing is missing later", "80% in 1 session, across 1 person", []string{"8/10 by=ana", "1/10"}, "s1", Run{1, 1}, ""},
		{"two on one day", "80% in 2 sessions, across 2 days", []string{"8/10 day=1", "8/10 day=1"}, "", Run{2, 2}, "days 1/2"},
		{"places", "80% in 2 sessions, across 2 places", []string{"8/10 place=home", "8/10 place=park"}, "s2", Run{2, 2}, ""},
		{"2 of the last 3", "80% in 2 of the last 3 sessions", series("8/10 1/10 8/10"), "s3", Run{2, 2}, ""},
		{"too far apart", "80% in 2 of the last 3 sessions", series("8/10 1/10 1/10 8/10"), "", Run{1, 2}, "sessions 1/2"},
		{"fewer than n exist", "80% in 2 of the last 5 sessions", series("8/10 8/10"), "s2", Run{2, 2}, ""},
		{
			"of the last n, breadth over those among them", "80% in 2 of the last 3 sessions, across 2 people",
			[]string{"8/10 by=ana", "8/10 by=ben", "1/10", "1/10"},
			"s2",
			Run{2, 2},
			"",
		},
		{
			"of the last n, breadth that has left the window", "80% in 2 of the last 3 sessions, across 2 people",
			[]string{"8/10 by=ben", "1/10", "8/10", "8/10 by=ana"},
			"",
			Run{2, 2},
			"people 1/2",
		},
		{
			"it must be satisfied at a qualifying session", "80% in 2 of the last 4 sessions, across 2 days",
			[]string{"8/10 day=1", "8/10 day=1", "1/10 day=2"},
			"",
			Run{2, 2},
			"days 1/2",
		},
		{"a barred session breaks the run", "80% in 3 sessions", []string{"8/10", "8/10", "10/10 early=distress", "8/10"}, "", Run{1, 3}, "sessions 1/3"},
		{"an excluded session does not", "80% in 3 sessions", []string{"8/10", "8/10", "0/10 void", "0/10 kind=baseline", "count=3/60", "8/10"}, "s6", Run{3, 3}, ""},
		{
			"both goals", "80% in 2 sessions, and a response within 5 seconds",
			[]string{"8/10 lat=5", "8/10 lat=5.01", "8/10 lat=5", "8/10", "8/10 lat=4"},
			"s5",
			Run{2, 2},
			"",
		},
		{
			"the goal and the recovery", "80% in 2 sessions, and steady again within 30 seconds",
			[]string{"8/10 rec=30", "8/10 rec=31", "8/10 unsteady", "8/10 rec=12", "8/10 lat=3", "8/10 rec=29.5"},
			"s6",
			Run{2, 2},
			"",
		},
		{"recovery at once", "steady again within 1 second in 1 session", []string{"4/4 rec=0"}, "s1", Run{1, 1}, ""},
		{"as many homes as places", "80% in 1 session, across 1 place, across 1 home", []string{"8/10"}, "", Run{1, 1}, "places 0/1 homes 0/1"},
		{"recovery alone", "steady again within 1 second in 1 session", []string{"4/4 unsteady", "4/4 rec=1"}, "s2", Run{1, 1}, ""},
		{
			"across homes", "80% in 2 sessions, across 2 homes",
			[]string{"8/10 place=a sort=home", "8/10 place=b sort=out", "8/10 place=a sort=home", "8/10 place=c sort=home"},
			"s4",
			Run{4, 2},
			"",
		},
		{
			"one home twice", "80% in 2 sessions, across 2 homes",
			[]string{"8/10 place=a sort=home", "8/10 place=a sort=home", "8/10 sort=home"},
			"",
			Run{3, 2},
			"homes 1/2",
		},
		{"each target, the worst", "80% in 1 session, each target", []string{"8/10 target=cup"}, "", Run{0, 1}, "sessions 0/1"},
		{"rate", "2 per minute in 1 session", series("count=9/300 count=10/300"), "s2", Run{1, 1}, ""},
		{"minutes in total", "2 minutes in total in 1 session", series("dur=60,59.9 dur=60,60"), "s2", Run{1, 1}, ""},
		{"at longest", "at most 30 seconds at longest in 1 session", series("dur=1,31 dur=30,30"), "s2", Run{1, 1}, ""},
		{"on average", "30 seconds on average in 1 session", series("dur=1,58 dur=1,59"), "s2", Run{1, 1}, ""},
		{"intervals", "50% of intervals in 1 session", series("int=1,0,0 int=1,0"), "s2", Run{1, 1}, ""},
		{"errors", "1 error in 1 session", series("8/10 9/10"), "s2", Run{1, 1}, ""},
		{"first trial", "first trial correct in 1 session", series("0/3 1/3"), "s2", Run{1, 1}, ""},
		{"with help", "80% with help up to model in 1 session", []string{"0/10 with=full_physical*9", "0/10 with=model*8"}, "s2", Run{1, 1}, ""},
		{"latency over the limit", "a response within 999999 seconds in 1 session", []string{"5/5 over", "5/5 lat=999999"}, "s2", Run{1, 1}, ""},
	} {
		r := mustEvaluate(t, caseOf(c.criterion, c.sessions...))
		met := ""
		if r.MetBy != nil {
			met = *r.MetBy
		}
		var lacking []string
		for _, l := range r.Lacking {
			lacking = append(lacking, fmt.Sprintf("%s %d/%d", l.What, l.Have, l.Need))
		}
		if met != c.met || r.Run != c.run || strings.Join(lacking, " ") != c.lacking {
			t.Errorf("%s: met %q run %v lacking %v, want %q %v %q", c.name, met, r.Run, lacking, c.met, c.run, c.lacking)
		}
	}
}

// TestWhy checks the first reason that applies, and what a barred session
// shows.
func TestWhy(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, criterion, session string
		want                     string // "why barred value"
	}{
		{"counted", "80% in 3 sessions", "7/8", "  87.5"},
		{"void", "80% in 3 sessions", "7/8 void kind=baseline", "void  none"},
		{"baseline", "80% in 3 sessions", "7/8 kind=baseline", "baseline  none"},
		{"maintenance", "80% in 3 sessions", "7/8 kind=maintenance", "maintenance  none"},
		{"not a probe", "80% in 3 sessions, probes only", "7/8", "other_kind  none"},
		{"a probe", "80% in 3 sessions, teaching only", "7/8 kind=probe", "other_kind  none"},
		{"a probe for both", "80% in 3 sessions", "7/8 kind=probe", "  87.5"},
		{"no data", "80% in 3 sessions", "0/0 nochance=4", "no_data  none"},
		{"no data for the second goal", "80% in 3 sessions, and 2 per minute", "7/8", "no_data  none"},
		{"too few trials", "80% in 3 sessions, 9 or more trials", "7/8", "too_few_trials  none"},
		{"just enough trials", "80% in 3 sessions, 8 or more trials", "7/8", "  87.5"},
		{"declined trials are not scored", "80% in 3 sessions, 9 or more trials", "7/8 declined=1", "too_few_trials  none"},
		{"trials for the second goal", "2 per minute in 3 sessions, 9 or more trials, and 80%", "7/8 count=3/60", "too_few_trials  none"},
		{"distress", "80% in 3 sessions, 9 or more trials", "7/8 early=distress", " distress 87.5"},
		{"distress before declined", "80% in 3 sessions", "7/8 declined=8 early=distress", " distress 87.5"},
		{"distress without data", "80% in 3 sessions", "0/0 early=distress", " distress none"},
		{"distress without the second goal's data", "80% in 3 sessions, and 2 per minute", "7/8 early=distress", " distress 87.5"},
		{"distress, over the limit", "a response within 5 seconds in 3 sessions", "7/8 over early=distress", " distress over"},
		{"a fifth declined", "80% in 3 sessions", "7/8 declined=2", "  87.5"},
		{"more than a fifth", "80% in 3 sessions", "7/8 declined=3", " declined 87.5"},
		{"all declined", "80% in 3 sessions", "0/0 declined=1", " declined none"},
		{"over the limit", "a response within 5 seconds in 3 sessions", "7/8 over", "  over"},
		{"ended early for another reason", "80% in 3 sessions", "7/8 early=other", "  87.5"},
		{"each target, one without trials", "80% in 3 sessions, each target", "7/8 target=cup", "no_data  none"},
	} {
		r := mustEvaluate(t, caseOf(c.criterion, c.session))
		s := r.Sessions[0]
		value := "none"
		switch {
		case s.Over:
			value = "over"
		case s.Value != nil:
			value = fmt.Sprint(*s.Value)
		}
		if got := fmt.Sprintf("%s %s %s", s.Why, s.Barred, value); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		if s.Counted != (s.Why == Counted) || s.Barred != NotBarred && s.Qualifies {
			t.Errorf("%s: %+v is inconsistent", c.name, s)
		}
	}
}

func TestEachTargetNeedsItsTrials(t *testing.T) {
	t.Parallel()
	session := sessionOf("9/9 target=cup", 1, 1)
	session.Trials = append(session.Trials, sessionOf("1/1 target=spoon", 1, 1).Trials...)
	for criterion, want := range map[string]Why{
		"80% in 3 sessions, 5 or more trials, each target":                 WhyTooFewOfTrials,
		"80% in 3 sessions, 1 or more trials, each target":                 Counted,
		"80% in 3 sessions, 10 or more trials":                             Counted,
		"first trial correct in 3 sessions, 2 or more trials, each target": WhyTooFewOfTrials,
	} {
		c := caseOf(criterion, "1/1")
		c.Sessions[0].Trials = session.Trials
		if got := mustEvaluate(t, c).Sessions[0].Why; got != want {
			t.Errorf("%s: %q, want %q", criterion, got, want)
		}
	}
}

func TestStatus(t *testing.T) {
	t.Parallel()
	later := func(days int) func(c *Case) {
		return func(c *Case) { c.AsOf = c.AsOf.AddDate(0, 0, days) }
	}
	checkFlags(t, []flagCase{
		{name: "no sessions", want: "gathering"},
		{name: "all void", sessions: times(3, "8/10 void"), want: "gathering"},
		{name: "two", sessions: times(2, "5/10"), want: "gathering"},
		{name: "three", sessions: times(3, "5/10"), want: "under_way"},
		{name: "six days without", sessions: times(2, "5/10"), want: "gathering", change: later(7)},
		{name: "seven days without", sessions: times(2, "5/10"), want: "idle idle(s2)", change: later(8)},
		{name: "stalled before idle", sessions: times(12, "5/10"), want: "stalled flat(" + span(1, 12) + ") idle(s12)", change: later(8)},
		{name: "met is never idle", sessions: times(3, "9/10"), want: "met@s3", change: later(100)},
		{name: "idle off", sessions: times(2, "5/10"), want: "gathering", change: func(c *Case) {
			later(100)(c)
			c.Rules.Off = []FlagKind{Idle}
		}},
		{name: "nothing, and no beginning", want: "gathering", change: later(100)},
		{name: "nothing since the beginning", want: "idle idle()", change: func(c *Case) {
			c.StartedOn = DateOf(firstDay, time.UTC)
			c.AsOf = firstDay.AddDate(0, 0, 8)
		}},
		{name: "started after the last session", sessions: times(1, "5/10"), want: "idle idle(s1)", change: func(c *Case) {
			c.StartedOn = Date{2026, 3, 10}
			c.AsOf = time.Date(2026, 3, 18, 0, 0, 0, 0, time.UTC)
		}},
		{name: "a day earlier", sessions: times(1, "5/10"), want: "gathering", change: func(c *Case) {
			c.StartedOn = Date{2026, 3, 10}
			c.AsOf = time.Date(2026, 3, 17, 23, 59, 59, 0, time.UTC)
		}},
		{name: "a baseline is a sign of life", sessions: []string{"5/10", "5/10 kind=baseline day=9"}, want: "gathering"},
		{name: "a void one is not", sessions: []string{"5/10", "5/10 void day=9"}, want: "idle idle(s1)"},
		{name: "a pause within", sessions: times(2, "5/10"), want: "gathering", change: func(c *Case) {
			later(9)(c)
			c.Pauses = []Pause{{Date{2026, 3, 4}, Date{2026, 3, 5}}}
		}},
		{name: "and a day after it", sessions: times(2, "5/10"), want: "idle idle(s2)", change: func(c *Case) {
			later(10)(c)
			c.Pauses = []Pause{{Date{2026, 3, 4}, Date{2026, 3, 5}}, {Date{2026, 3, 5}, Date{2026, 3, 5}}}
		}},
		{name: "a pause that covers everything", sessions: times(2, "5/10"), want: "gathering", change: func(c *Case) {
			later(1000)(c)
			c.Pauses = []Pause{{Date{2000, 1, 1}, Date{2100, 1, 1}}}
		}},
	})
}

// TestIdleFrom checks that the date agrees with the flag on every day around
// it.
func TestIdleFrom(t *testing.T) {
	t.Parallel()
	pauses := [][]Pause{
		nil,
		{{Date{2026, 3, 4}, Date{2026, 3, 6}}},
		{{Date{2026, 3, 6}, Date{2026, 3, 9}}, {Date{2026, 3, 4}, Date{2026, 3, 7}}, {Date{2026, 3, 20}, Date{2026, 3, 25}}},
		{{Date{2026, 2, 1}, Date{2026, 4, 1}}},
	}
	for _, p := range pauses {
		for _, days := range []int{1, 7, 30} {
			c := caseOf("80% in 3 sessions", "5/10", "5/10")
			c.Pauses, c.Rules.IdleDays = p, pointer(days)
			from := mustEvaluate(t, c).IdleFrom
			if from == nil {
				t.Fatal("no idle_from")
			}
			for day := 3; day < 90; day++ {
				c.AsOf = firstDay.AddDate(0, 0, day-1)
				_, raised := (&Reading{Flags: mustEvaluate(t, c).Flags}).Flag(Idle)
				if want := DateOf(c.AsOf, time.UTC).day() >= from.day(); raised != want {
					t.Errorf("pauses %v, %d days, as of %v: raised %v, idle_from %s", p, days, c.AsOf, raised, from)
				}
			}
		}
	}
}

// TestLocalDates checks that days follow the case's time zone, across midnight,
// half-hour zones and clock changes, unless a session has its own date.
func TestLocalDates(t *testing.T) {
	t.Parallel()
	at := func(s string) time.Time {
		v, err := time.Parse(time.RFC3339, s)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, c := range []struct {
		name, zone    string
		first, second string // started_at
		own           Date   // the second's own date
		days          int
	}{
		{"one day in UTC", "UTC", "2026-03-09T01:00:00Z", "2026-03-09T23:00:00Z", Date{}, 1},
		{"two in Makassar (+8)", "Asia/Makassar", "2026-03-09T01:00:00Z", "2026-03-09T23:00:00Z", Date{}, 2},
		{"one in Makassar over UTC's midnight", "Asia/Makassar", "2026-03-09T17:00:00Z", "2026-03-10T09:00:00Z", Date{}, 1},
		{"half hours: Kathmandu (+5:45)", "Asia/Kathmandu", "2026-03-09T18:14:00Z", "2026-03-09T18:16:00Z", Date{}, 2},
		{"half hours: St John's in winter (-3:30)", "America/St_Johns", "2026-02-09T03:29:00Z", "2026-02-09T03:31:00Z", Date{}, 2},
		{"its own date", "UTC", "2026-03-09T01:00:00Z", "2026-03-09T23:00:00Z", Date{2026, 3, 10}, 2},
		{"the clock goes forward in Dublin", "Europe/Dublin", "2026-03-29T00:30:00Z", "2026-03-29T22:59:00Z", Date{}, 1},
		{"and on to the next day an hour early", "Europe/Dublin", "2026-03-29T00:30:00Z", "2026-03-29T23:01:00Z", Date{}, 2},
		{"the clock goes back in Dublin", "Europe/Dublin", "2026-10-24T23:30:00Z", "2026-10-25T23:59:00Z", Date{}, 1},
	} {
		input := caseOf("80% in 2 sessions, across 2 days", "8/10", "8/10")
		input.TimeZone, input.AsOf = c.zone, at("2027-01-01T00:00:00Z")
		for i, start := range []string{c.first, c.second} {
			input.Sessions[i].StartedAt = at(start)
			input.Sessions[i].EndedAt = at(start).Add(3 * time.Hour) // over midnight: the start decides
		}
		input.Sessions[1].LocalDate = c.own
		r := mustEvaluate(t, input)
		days := 2
		if len(r.Lacking) > 0 {
			days = r.Lacking[0].Have
		}
		if days != c.days {
			t.Errorf("%s: %d days, want %d", c.name, days, c.days)
		}
	}
}

func TestFuture(t *testing.T) {
	t.Parallel()
	c := caseOf("80% in 2 sessions", "8/10", "8/10")
	c.AsOf = c.Sessions[1].EndedAt // exactly then: not the future
	if r := mustEvaluate(t, c); r.Status != StatusMet {
		t.Errorf("a session ending at as_of does not count: %v", r.Status)
	}
	c.AsOf = c.AsOf.Add(-time.Second)
	if r := mustEvaluate(t, c); r.Sessions[1].Why != WhyFuture || r.IdleFrom == nil || *r.IdleFrom != (Date{2026, 3, 9}) {
		t.Errorf("%+v %v", r.Sessions[1], r.IdleFrom)
	}
}

func TestOrder(t *testing.T) {
	t.Parallel()
	c := caseOf("80% in 2 sessions", "8/10 id=b day=1", "1/10 id=a day=1", "8/10 id=C day=1", "8/10 id=z day=0")
	r := mustEvaluate(t, c)
	var order []string
	for _, s := range r.Sessions {
		order = append(order, s.ID)
	}
	if want := []string{"z", "C", "a", "b"}; !cmp.Equal(order, want) {
		t.Errorf("order %v, want %v", order, want)
	}
	if r.MetBy == nil || *r.MetBy != "C" {
		t.Errorf("met by %v", r.MetBy)
	}
	if c.Sessions[0].ID != "b" {
		t.Error("the case was changed")
	}
}

// TestOnceMet checks that later sessions change only the estimate, the totals,
// the list, distress and maintenance.
func TestOnceMet(t *testing.T) {
	t.Parallel()
	words := times(3, "9/10")
	before := mustEvaluate(t, caseOf("80% in 3 sessions", words...))
	after := mustEvaluate(t, caseOf("80% in 3 sessions", join(words, times(12, "0/10"))...))
	if before.Estimate == nil || after.Estimate == nil || before.Estimate.Percent <= after.Estimate.Percent {
		t.Errorf("estimates %v %v", before.Estimate, after.Estimate)
	}
	if before.Evidence == nil || before.Totals == nil || after.Progress != nil {
		t.Errorf("evidence %v, totals %v, progress %v", before.Evidence, before.Totals, after.Progress)
	}
	before.Sessions, after.Sessions, before.Estimate, after.Estimate = nil, nil, nil, nil
	before.Totals, after.Totals = nil, nil
	if diff := cmp.Diff(before, after); diff != "" {
		t.Errorf("later sessions changed more: %s", diff)
	}
	if after.Forecast != nil || after.IdleFrom != nil {
		t.Error("a met criterion has a forecast or becomes idle")
	}
}

// TestReadingAsJSON pins the JSON format that other programs read.
func TestReadingAsJSON(t *testing.T) {
	t.Parallel()
	c := caseOf("80% in 3 sessions, across 2 people", "8/10 by=ana", "7/10 by=ana early=distress", "0/0")
	r := mustEvaluate(t, c)
	r.Estimate.Low, r.Estimate.High = 49, 94.5 // their last digits differ between machines
	got, err := json.MarshalIndent(r, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	const want = `{
 "status": "gathering",
 "met_by": null,
 "criterion": "80% independent in 3 sessions in a row, across 2 people",
 "run": {
  "have": 0,
  "need": 3
 },
 "lacking": [
  {
   "what": "sessions",
   "have": 0,
   "need": 3
  },
  {
   "what": "people",
   "have": 0,
   "need": 2
  }
 ],
 "flags": [
  {
   "kind": "distress",
   "sessions": [
    "s2"
   ]
  }
 ],
 "sessions": [
  {
   "id": "s1",
   "counted": true,
   "why": "",
   "value": 80,
   "over": false,
   "qualifies": true,
   "barred": ""
  },
  {
   "id": "s2",
   "counted": true,
   "why": "",
   "value": 70,
   "over": false,
   "qualifies": false,
   "barred": "distress"
  },
  {
   "id": "s3",
   "counted": false,
   "why": "no_data",
   "value": null,
   "over": false,
   "qualifies": false,
   "barred": ""
  }
 ],
 "estimate": {
  "correct": 8,
  "trials": 10,
  "percent": 80,
  "low": 49,
  "high": 94.5,
  "session": null
 },
 "forecast": null,
 "idle_from": "2026-03-11",
 "progress": null,
 "evidence": null,
 "totals": {
  "people": {
   "sessions": [
    "s1"
   ],
   "from": "2026-03-01",
   "to": "2026-03-01",
   "parts": [
    {
     "name": "ana",
     "sessions": 1,
     "correct": 8,
     "trials": 10
    }
   ]
  },
  "places": null
 }
}`
	if diff := cmp.Diff(want, string(got)); diff != "" {
		t.Error(diff)
	}
}

func TestVoidTrials(t *testing.T) {
	t.Parallel()
	c := caseOf("80% in 1 session", "4/5")
	c.Sessions[0].Trials[0].Void = true
	r := mustEvaluate(t, c)
	if r.Sessions[0].Qualifies || r.Estimate.Trials != 4 {
		t.Errorf("a void trial counts: %+v", r.Estimate)
	}
}

func TestEmptyDurations(t *testing.T) {
	t.Parallel()
	c := caseOf("at most 5 seconds in total in 1 session", "dur=9", "5/5")
	c.Sessions[0].DurationsS = c.Sessions[0].DurationsS[:0]
	r := mustEvaluate(t, c)
	if r.MetBy == nil || *r.MetBy != "s1" || r.Sessions[1].Why != WhyNoData {
		t.Errorf("%v %+v", r.MetBy, r.Sessions)
	}
}
