package gallery

import (
	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/program"
)

const inARow = "80% in 3 sessions in a row"

// outOf returns sessions of equal length.
func outOf(trials int, correct ...int) []session {
	out := make([]session, len(correct))
	for i, n := range correct {
		out[i] = session{correct: n, trials: trials}
	}
	return out
}

// repeat returns a number n times, and so on.
func repeat(pairs ...int) []int {
	var out []int
	for i := 0; i+1 < len(pairs); i += 2 {
		for range pairs[i] {
			out = append(out, pairs[i+1])
		}
	}
	return out
}

// with changes every session.
func with(list []session, change func(i int, s *session)) []session {
	for i := range list {
		change(i, &list[i])
	}
	return list
}

func planned(level string) func(int, *session) {
	return func(_ int, s *session) { s.planned = level }
}

func checks(met []session, later ...int) []session {
	for _, n := range later {
		met = append(met, session{correct: n, trials: 10, kind: criterion.Maintenance})
	}
	return met
}

func byTurns(i int, s *session) {
	s.by = []string{"ana", "ben"}[i%2]
}

// scenes returns a scene for everything that a reading can say.
func scenes() []scene {
	cups := []program.Target{{Key: "red", Name: "red cup"}, {Key: "blue", Name: "blue cup"}, {Key: "tin", Name: "tin mug"}}
	return []scene{
		{name: "early", about: "Too early", criterion: inARow, sessions: outOf(10, 4, 5)},
		{name: "never", about: "Nothing recorded", criterion: inARow, waited: 9},
		{name: "breadth", about: "Sessions reached, a second person missing", criterion: inARow + ", across 2 people, across 2 days", sessions: outOf(10, 6, 7, 8, 8, 9)},
		{name: "rising", about: "A gain just above the limit", criterion: inARow, sessions: outOf(40, repeat(4, 16, 4, 18, 3, 21, 1, 22)...)},
		{name: "falling", about: "Losing ground", criterion: inARow, sessions: outOf(10, repeat(5, 7, 3, 4)...)},
		{name: "flat", about: "No progress, 18 sessions", criterion: inARow, sessions: outOf(10, repeat(6, 4, 12, 5)...)},
		{name: "flat-hardly", about: "No progress, far from the goal", criterion: inARow, sessions: outOf(10, repeat(14, 3)...), rules: program.StepRules{Off: []string{"floor"}}},
		{name: "flat-rate", about: "No progress, measured in minutes", criterion: "at least 10 minutes in total in 3 sessions in a row", sessions: with(make([]session, 12), func(i int, s *session) { s.minutes = 4 + i%2 })},
		{name: "uneven", about: "Met now and then", criterion: inARow, sessions: outOf(10, 6, 8, 6, 6, 8, 6, 6, 6, 8, 6, 6, 8, 6, 6)},
		{name: "uneven-most", about: "Most sessions reach the goal", criterion: "80% in 5 sessions in a row", sessions: outOf(10, 9, 9, 9, 7, 9, 9, 9, 9, 7, 9, 9, 9, 9, 7)},
		{name: "uneven-nearly", about: "Nearly every session reaches the goal", criterion: "80% in 8 sessions in a row", sessions: outOf(10, 10, 10, 10, 10, 7, 10, 10, 10, 7, 10, 10, 10, 10, 7)},
		{name: "long", about: "Long on the step, losing ground", criterion: inARow, sessions: outOf(10, repeat(20, 7, 3, 4)...)},
		{name: "close", about: "A single error is in the way", criterion: "100% in 3 sessions in a row", sessions: outOf(10, 9, 10, 9, 10, 9, 9, 10, 9, 10, 9, 9, 10, 9, 9)},
		{name: "floor", about: "Very low results", criterion: inARow, sessions: outOf(10, 1, 2, 1, 1, 2, 1, 1, 2)},
		{name: "prompts", about: "Correct only with prompts", criterion: inARow, sessions: with(outOf(10, repeat(8, 2)...), func(_ int, s *session) { s.prompted = 8 })},
		{name: "fading", about: "Ready to fade, by the program’s rule too", criterion: inARow, planned: "show", less: "90% with help up to show in 3 sessions in a row", sessions: with(outOf(10, repeat(6, 2)...), func(_ int, s *session) { s.prompted, s.planned = 8, "show" })},
		{name: "more", about: "The program’s rule calls for more prompting", criterion: inARow, planned: "point", more: "below 50% in 2 sessions in a row", sessions: with(outOf(10, 6, 5, 4, 3), planned("point"))},
		{name: "chance", about: "At chance level", criterion: inARow, sessions: with(outOf(10, 5, 6, 4, 5, 5, 4, 6, 5), func(_ int, s *session) { s.choices = 2 }), rules: program.StepRules{Off: []string{"floor"}}},
		{name: "back", about: "Step-back rule met", criterion: inARow, stepBack: "below 50% in 2 sessions in a row", sessions: outOf(10, 7, 6, 4, 3)},
		{name: "idle", about: "No sessions lately", criterion: inARow, sessions: outOf(10, 6, 7, 7, 6), waited: 9},
		{name: "people", about: "Differs by person", criterion: inARow, sessions: with(outOf(10, 7, 3, 7, 4, 6, 3, 7, 2, 7, 3), byTurns)},
		{name: "places", about: "Differs by place", criterion: inARow, sessions: with(outOf(10, 7, 3, 7, 4, 6, 3, 7, 2, 7, 3), func(i int, s *session) {
			s.place = []string{newel.PlaceHome, newel.PlaceOut}[i%2]
		})},
		{name: "slower", about: "Slower than before", criterion: "a response within 20 seconds in 3 sessions in a row", sessions: with(outOf(2, repeat(8, 2)...), func(i int, s *session) {
			s.seconds = []float64{25, 24, 26, 25, 24, 60, 65, 70}[i]
		})},
		{name: "side", about: "Position bias", criterion: inARow, sessions: with(outOf(10, 4, 5, 6), func(_ int, s *session) { s.choices, s.side = 3, 1 })},
		{name: "no", about: "The child said no", criterion: inARow, state: newel.AssignmentResting, sessions: append(outOf(10, 5, 6), session{correct: 2, declined: 3, trials: 6, early: criterion.EarlyDistress})},
		{name: "met", about: "Met, plainly", criterion: inARow, sessions: outOf(10, 5, 9, 10, 9)},
		{name: "fair", about: "Met, fair evidence", criterion: inARow, sessions: with(outOf(10, 5, 8, 8, 8), byTurns)},
		{name: "thin", about: "Met, could be luck", criterion: inARow, sessions: outOf(5, 2, 4, 4, 4)},
		{name: "thin-last", about: "Met in some of the last, could be luck", criterion: "80% in 3 of the last 4 sessions", sessions: outOf(5, 2, 4, 1, 4, 5)},
		{name: "fair-lower", about: "Met, fewer is better", criterion: "at most 20% in 3 sessions in a row", sessions: outOf(10, 6, 2, 2, 2)},
		{name: "again", about: "One check not met", criterion: inARow, sessions: checks(outOf(10, 6, 9, 9, 9), 6)},
		{name: "slipping", about: "Two checks not met", criterion: inARow, sessions: checks(outOf(10, 6, 9, 9, 9), 6, 5)},
		{name: "each", about: "Targets one by one", criterion: inARow, targets: cups, atOnce: 1, sessions: append(
			with(outOf(5, 4, 4, 4), func(_ int, s *session) { s.target = "red" }),
			with(outOf(10, repeat(14, 4)...), func(_ int, s *session) { s.target = "blue" })...)},
		{name: "each-met", about: "Every target met", criterion: inARow, targets: cups[:2], atOnce: 2, sessions: with(outOf(5, 4, 4, 4), func(_ int, s *session) {
			s.target, s.also = "red", []session{{correct: 5, trials: 5, target: "blue"}}
		})},
		{name: "unfit", about: "Sessions that do not count", criterion: inARow + ", 5 or more trials", sessions: []session{
			{correct: 1, trials: 10, kind: criterion.Baseline},
			{correct: 5, trials: 10},
			{correct: 2, trials: 3},
			{correct: 6, trials: 10, unfit: []newel.Condition{newel.Conditions[0]}},
			{correct: 7, trials: 10, kind: criterion.Probe},
			{correct: 7, trials: 10},
		}},
		{name: "late", about: "A late session changes the reading", criterion: inARow, sessions: outOf(10, 5, 6, 6, 7), late: &newel.Late{
			Kind: newel.DecisionHold, Step: "u2", Sessions: []newel.RecordingID{newel.NewID[newel.RecordingID]()}, Changes: true,
			Was: criterion.StatusMet, Now: criterion.StatusUnderWay, At: sceneDay.AddDate(0, 0, 4),
		}},
		{name: "twice", about: "Two sessions at once", criterion: inARow, sessions: outOf(10, 5, 6, 6, 6), twice: true},
		{name: "over", about: "A step that is over", criterion: inARow, sessions: outOf(10, 5, 9, 10, 9), ended: true},
	}
}
