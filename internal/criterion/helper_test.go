package criterion

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"newel/internal/exact"
	"newel/internal/measure"
)

// helpLevels are the help levels of every case that the tests build.
var helpLevels = []string{"gesture", "model", "partial physical", "full physical"}

// firstDay is day 1 of the tests' sessions, which start at 09:00 UTC.
var firstDay = time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)

func ratOf(s string) exact.Rat {
	r, err := exact.ParseJSON(s)
	if err != nil {
		panic(err)
	}
	return r
}

func pointer[T any](v T) *T { return &v }

func atoi(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		panic(err)
	}
	return n
}

// sessionOf builds a session from words:
//
//	8/10            8 correct alone and 2 incorrect trials
//	with=model*2    2 of the incorrect become correct with that help
//	declined=2      trials added that the child declined; also nochance=, noresp=
//	lat=5 | over    every trial's latency, or nothing within the limit
//	rec=5 | unsteady every trial's recovery, or not within the limit
//	choices=3 pos=2 of every trial
//	target=cup      of every trial
//	count=12/300 dur=20,35.5 int=1,0
//	day=5 by=ana place=home kind=probe plan=model early=distress void id=x
func sessionOf(words string, number, day int) Session {
	s := Session{ID: fmt.Sprintf("s%d", number)}
	for word := range strings.FieldsSeq(words) {
		name, value, _ := strings.Cut(word, "=")
		switch name {
		case "id":
			s.ID = value
		case "day":
			day = atoi(value)
		case "by":
			s.By = value
		case "place":
			s.Place = value
		case "sort":
			s.PlaceSort = value
		case "afterwards":
			s.Afterwards = true
		case "kind":
			s.Kind = Kind(value)
		case "plan":
			s.PlannedHelp = strings.ReplaceAll(value, "_", " ")
		case "early":
			s.EndedEarly = EndedEarly(value)
		case "void":
			s.Void = true
		default:
			dataOf(&s, name, value)
		}
	}
	s.StartedAt = firstDay.AddDate(0, 0, day-1)
	s.EndedAt = s.StartedAt.Add(10 * time.Minute)
	return s
}

func dataOf(s *Session, name, value string) {
	add := func(n int, o measure.Outcome) {
		for range n {
			s.Trials = append(s.Trials, Trial{Outcome: o})
		}
	}
	each := func(set func(t *Trial)) {
		for i := range s.Trials {
			set(&s.Trials[i])
		}
	}
	switch name {
	case "with":
		level, n, _ := strings.Cut(value, "*")
		left := atoi(n)
		for i := range s.Trials {
			if t := &s.Trials[i]; t.Outcome == measure.Incorrect && left > 0 {
				t.Outcome, t.Help = measure.Correct, strings.ReplaceAll(level, "_", " ")
				left--
			}
		}
	case "declined":
		add(atoi(value), measure.Declined)
	case "nochance":
		add(atoi(value), measure.NoChance)
	case "noresp":
		add(atoi(value), measure.NoResponse)
	case "lat":
		each(func(t *Trial) { t.LatencyS = pointer(ratOf(value)) })
	case "over":
		each(func(t *Trial) { t.None = true })
	case "rec":
		each(func(t *Trial) { t.RecoveryS = pointer(ratOf(value)) })
	case "unsteady":
		each(func(t *Trial) { t.RecoveryNone = true })
	case "choices":
		each(func(t *Trial) { t.Choices = atoi(value) })
	case "pos":
		each(func(t *Trial) { t.Position = atoi(value) })
	case "target":
		each(func(t *Trial) { t.Target = value })
	case "count":
		count, seconds, _ := strings.Cut(value, "/")
		s.Count, s.ObservedS = pointer(int64(atoi(count))), pointer(ratOf(seconds))
	case "dur":
		for d := range strings.SplitSeq(value, ",") {
			s.DurationsS = append(s.DurationsS, ratOf(d))
		}
	case "int":
		for i := range strings.SplitSeq(value, ",") {
			s.Intervals = append(s.Intervals, i == "1")
		}
	default:
		correct, all, ok := strings.Cut(name, "/")
		if !ok {
			panic("no such word: " + name)
		}
		add(atoi(correct), measure.Correct)
		add(atoi(all)-atoi(correct), measure.Incorrect)
	}
}

// caseOf builds a case with one session a day unless the notation says
// otherwise, evaluated an hour after the last one ends.
func caseOf(criterion string, sessions ...string) Case {
	c := Case{
		AsOf: firstDay, TimeZone: "UTC", Criterion: criterion,
		HelpLevels: helpLevels, Targets: []string{"cup", "spoon"},
		Sessions: []Session{},
	}
	day := 0
	for i, words := range sessions {
		s := sessionOf(words, i+1, day+1)
		day = int(s.StartedAt.Sub(firstDay).Hours()/24) + 1
		c.Sessions = append(c.Sessions, s)
		if end := s.EndedAt.Add(time.Hour); end.After(c.AsOf) {
			c.AsOf = end
		}
	}
	return c
}

// times repeats words.
func times(n int, words string) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = words
	}
	return out
}

// join concatenates lists.
func join(lists ...[]string) (out []string) {
	for _, l := range lists {
		out = append(out, l...)
	}
	return out
}

// series parses "5/10 6/10 ..." as one session each.
func series(words string) []string { return strings.Fields(words) }

// all adds words to every session.
func all(list []string, words string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = s + " " + words
	}
	return out
}

// checker is a test, a benchmark or a property's check.
type checker interface {
	Helper()
	Fatalf(format string, args ...any)
}

func mustEvaluate(t checker, c Case) Reading {
	t.Helper()
	r, err := Evaluate(c)
	if err != nil {
		t.Fatalf("Evaluate: %v", err)
	}
	return r
}

// inShort formats status and flags as "stalled flat(s1 s2)".
func inShort(r Reading) string {
	parts := []string{string(r.Status)}
	if r.MetBy != nil {
		parts[0] += "@" + *r.MetBy
	}
	for _, f := range r.Flags {
		parts = append(parts, fmt.Sprintf("%s(%s)", f.Kind, strings.Join(f.Sessions, " ")))
	}
	return strings.Join(parts, " ")
}

// span returns "s<from> … s<to>".
func span(from, to int) string {
	var list []string
	for i := from; i <= to; i++ {
		list = append(list, fmt.Sprintf("s%d", i))
	}
	return strings.Join(list, " ")
}
