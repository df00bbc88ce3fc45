package criterion

import (
	"fmt"

	"newel/internal/exact"
	"newel/internal/stat"
)

// guessingTable: learners with a choice of 2, 3 or 4, some of whom only guess.
func guessingTable(s *simulation) [][]string {
	rows := [][]string{{
		"choices", "trials", "learner", "truly guessing", "ever `guessing`", "by 8/10/12/15/20", "after 8/10/12/15/20",
		"proposal A: ever", "by 8/10/12/15/20", "proposal B: ever", "by 8/10/12/15/20",
	}}
	for _, choices := range []int{2, 3, 4} {
		chance := 1 / float64(choices)
		for _, trials := range []int{5, 10, 20} {
			for _, l := range []struct {
				name, guesses string
				course        course
			}{
				{"guesses", "yes", levelAt(chance)},
				{"10 points above chance", "no", levelAt(chance + 0.10)},
				{"20 points above chance", "no", levelAt(chance + 0.20)},
				{"rises soon from chance", "at first", rising(chance, 0.95, 6, 2)},
				{"rises over 25 from chance", "at first", rising(chance, 0.97, 12, 25./6)},
			} {
				hs := s.run(fmt.Sprint("guessing", choices, trials, l.name), placed{criterion: inARow(80, 3), sessions: 30, proposals: []rule{guessingInEight, guessingNearChance}},
					answering{course: l.course, noise: noise{sd: 0.4}, trials: always(trials), trial: choosing(choices, 0)})
				guesses := raised(Guessing)
				row := []string{
					fmt.Sprint(choices), fmt.Sprint(trials), l.name, l.guesses,
					whole(hs.ever(guesses)), each(hs.within, guesses, 8, 10, 12, 15, 20), each(hs.after, guesses, 8, 10, 12, 15, 20),
				}
				for _, seen := range []sign{proposed(0), proposed(1)} {
					row = append(row, whole(hs.ever(seen)), each(hs.within, seen, 8, 10, 12, 15, 20))
				}
				rows = append(rows, row)
			}
		}
	}
	return rows
}

// guessingInEight is a candidate for guessing: eight sessions instead of five
// and at least 40 trials.
func guessingInEight(e *evaluation) ([]*judged, bool) {
	if !e.plainAccuracy() || e.plannedHelp() || len(e.stretch) < 8 {
		return nil, false
	}
	eight := latest(e.stretch, 8)
	choices, correct, scored := e.sameChoices(eight)
	if choices == 0 || scored < 40 || !exact.Frac(100, int64(choices)).Less(e.yards[0].limit) {
		return nil, false
	}
	return eight, stat.GuessTailAtLeast(scored, choices, correct, 1, 20)
}

// guessingNearChance is a candidate for guessing: as now, and what was correct
// is less than 10 points above chance.
func guessingNearChance(e *evaluation) ([]*judged, bool) {
	five, ok := e.guessing()
	if !ok {
		return nil, false
	}
	choices, correct, scored := e.sameChoices(five)
	return five, (correct*choices-scored)*10 < scored*choices
}

// oneSideTable: learners who choose one position more or less often without
// looking.
func oneSideTable(s *simulation) [][]string {
	rows := [][]string{{"choices", "trials", "knows", "takes one side blindly", "ever `one_side`", "by 2/3/5/10", "after 5/10/20"}}
	for _, choices := range []int{2, 3} {
		for _, trials := range []int{5, 10} {
			for _, l := range []struct{ knows, bias float64 }{
				{1 / float64(choices), 0},
				{0.75, 0},
				{0.75, 0.25},
				{0.75, 0.50},
				{0.50, 0.60},
				{0.50, 0.75},
				{0.50, 0.90},
				{0.50, 1},
			} {
				hs := s.run(fmt.Sprint("one side", choices, trials, l), placed{criterion: neverMet, sessions: 30},
					answering{course: levelAt(l.knows), noise: noise{sd: 0.4}, trials: always(trials), trial: choosing(choices, l.bias)})
				side := raised(OneSide)
				rows = append(rows, []string{
					fmt.Sprint(choices), fmt.Sprint(trials), whole(100*l.knows) + "%", whole(100*l.bias) + "%",
					tenth(hs.ever(side)), each(hs.within, side, 2, 3, 5, 10), each(hs.after, side, 5, 10, 20),
				})
			}
		}
	}
	return rows
}
