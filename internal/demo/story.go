package demo

import (
	"time"

	"newel/internal/newel"
)

// born gives the birth month of a child of so many years.
func born(today time.Time, years int) string { return today.AddDate(-years, -2, 0).Format("2006-01") }

// households are the invented families with what they were taught. Sessions
// are correct / of.
func households(today time.Time) []household {
	return []household{arunadi(today), brennick(today), haddarin(today), okonwale(today)}
}

func arunadi(today time.Time) household {
	return household{
		name: "Arunadi", zone: "Asia/Kuala_Lumpur", language: "ms", child: "Kavi", born: born(today, 4),
		care: newel.Care{
			Alerts:       newel.Alerts{Asked: true, Mouthing: "Puts small things into the mouth."},
			StopSigns:    "Turns the whole body away.",
			TouchAllowed: true,
		},
		consentBy: "Sari, mother", people: []string{"Sari", "Opah"}, phones: []string{"Sari"},
		courses: []course{
			{program: "washing-hands", began: 32, stages: []stage{
				{step: "B1", sessions: []sitting{
					{daysAgo: 30, who: "Sari", correct: 2, of: 3},
					{daysAgo: 29, who: "Sari", correct: 3, of: 3},
					{daysAgo: 29, who: "Opah", correct: 2, of: 2},
					{daysAgo: 28, who: "Sari", correct: 3, of: 3},
				}, decision: newel.DecisionAdvance, reason: "The towel goes up every time, with Opah too.", expected: "Both hands dried in 2 of 3."},
				{step: "B2", sessions: quick("Sari", 26, 25, 25), decision: newel.DecisionAdvance, reason: "Dries front and back."},
				{step: "B3", sessions: quick("Sari", 20, 19, 18), decision: newel.DecisionAdvance, reason: "The tap is off without a word."},
				{step: "B4", sessions: quick("Sari", 16, 15, 14), decision: newel.DecisionAdvance, reason: "No foam left."},
				{step: "B5", sessions: []sitting{
					{daysAgo: 11, who: "Sari", correct: 0, of: 3},
					{daysAgo: 10, who: "Opah", correct: 1, of: 3},
					{daysAgo: 9, who: "Sari", correct: 0, of: 3},
					{daysAgo: 8, who: "Sari", correct: 1, of: 3},
					{daysAgo: 7, who: "Opah", correct: 1, of: 2},
					{daysAgo: 6, who: "Sari", correct: 0, of: 3},
					{daysAgo: 4, who: "Sari", correct: 1, of: 3},
					{daysAgo: 3, who: "Opah", correct: 0, of: 3},
					{daysAgo: 2, who: "Sari", correct: 1, of: 3},
				}},
			}},
			{program: "which-cup", began: 15, stages: []stage{
				{role: "Finder", step: "U1", sessions: []sitting{
					{daysAgo: 13, who: "Sari", correct: 4, of: 5}, {daysAgo: 11, who: "Sari", correct: 5, of: 5},
				}, decision: newel.DecisionAdvance, reason: "Turns away and waits. Three cups now."},
				{role: "Finder", step: "U2", sessions: []sitting{
					{daysAgo: 5, who: "Sari", correct: 3, of: 5},
					{daysAgo: 4, who: "Opah", correct: 3, of: 5},
					{daysAgo: 2, who: "Sari", correct: 4, of: 5},
				}},
			}},
		},
	}
}

func haddarin(today time.Time) household {
	return household{
		name: "Haddarin", zone: "Asia/Amman", language: "ar", child: "Rami", born: born(today, 6),
		care: newel.Care{
			Alerts:    newel.Alerts{Asked: true, Allergy: "Asthma: the inhaler lies on the shelf."},
			StopSigns: "Pushes the card away, hums loudly.",
		},
		consentBy: "Lubna and Sami, parents", people: []string{"Lubna", "Sami"}, phones: []string{"Lubna", "Sami"},
		courses: []course{
			{program: "asking-for-a-break", withoutTouch: true, began: 26, stages: []stage{
				{step: "K1", sessions: []sitting{
					{daysAgo: 25, who: "Lubna", correct: 5, of: 5, help: "show"}, {daysAgo: 24, who: "Lubna", correct: 5, of: 5, help: "show"},
				}, decision: newel.DecisionAdvance, reason: "Asks with the card shown, without upset."},
				{step: "K2", sessions: []sitting{
					{daysAgo: 22, who: "Lubna", correct: 3, of: 5}, {daysAgo: 21, who: "Lubna", correct: 4, of: 5}, {daysAgo: 20, who: "Lubna", correct: 5, of: 5},
				}, decision: newel.DecisionAdvance, reason: "4 of 5 and 5 of 5. From here two people, so that it is not only Lubna he asks.", expected: "Four of five with both within a week."},
				{step: "K3", sessions: []sitting{
					{daysAgo: 6, who: "Sami", correct: 4, of: 5}, {daysAgo: 3, who: "Lubna", correct: 5, of: 5}, {daysAgo: 1, who: "Sami", correct: 5, of: 6},
				}},
			}},
		},
	}
}

func okonwale(today time.Time) household {
	return household{
		name: "Okonwale", zone: "Africa/Lagos", language: "en", child: "Dayo", born: born(today, 5),
		care: newel.Care{
			Alerts:    newel.Alerts{Asked: true, Allergy: "Groundnuts."},
			StopSigns: "Covers the eyes.",
		},
		consentBy: "Temi, mother", people: []string{"Temi"}, phones: []string{"Temi"},
		courses: []course{
			{program: "two-step-directions", withoutTouch: true, began: 40, stages: []stage{
				{step: "D1", sessions: []sitting{{daysAgo: 38, who: "Temi", correct: 9, of: 10}, {daysAgo: 37, who: "Temi", correct: 10, of: 10}}, decision: newel.DecisionAdvance, reason: "Direction A holds."},
				{step: "D2", sessions: []sitting{{daysAgo: 35, who: "Temi", correct: 8, of: 10}, {daysAgo: 34, who: "Temi", correct: 9, of: 10}, {daysAgo: 33, who: "Temi", correct: 10, of: 10}}, decision: newel.DecisionAdvance, reason: "Also with other things out."},
				{step: "D3", sessions: []sitting{{daysAgo: 31, who: "Temi", correct: 9, of: 10}, {daysAgo: 30, who: "Temi", correct: 9, of: 10}}, decision: newel.DecisionAdvance, reason: "Direction B holds."},
				{step: "D4", sessions: []sitting{{daysAgo: 28, who: "Temi", correct: 9, of: 10}, {daysAgo: 27, who: "Temi", correct: 10, of: 10}}, decision: newel.DecisionAdvance, reason: "Now both in mixed order."},
				{step: "D5", sessions: []sitting{
					{daysAgo: 11, who: "Temi", correct: 5, of: 10},
					{daysAgo: 10, who: "Temi", correct: 6, of: 10},
					{daysAgo: 9, who: "Temi", correct: 5, of: 10},
					{daysAgo: 7, who: "Temi", correct: 4, of: 10},
					{daysAgo: 6, who: "Temi", correct: 6, of: 10},
					{daysAgo: 5, who: "Temi", correct: 5, of: 10},
					{daysAgo: 4, who: "Temi", correct: 5, of: 10},
					{daysAgo: 3, who: "Temi", correct: 6, of: 10},
					{daysAgo: 2, who: "Temi", correct: 5, of: 10},
				}},
			}},
		},
	}
}

func brennick(today time.Time) household {
	return household{
		name: "Brennick", zone: "Europe/Dublin", language: "en", child: "Wren", born: born(today, 5),
		care: newel.Care{
			Alerts:    newel.Alerts{Asked: true, Allergy: "Egg."},
			StopSigns: "Says “no thank you”, puts hands over ears.",
		},
		consentBy: "Orla and Cian, parents", people: []string{"Orla", "Cian"}, phones: []string{"Orla", "Cian"},
		courses: []course{
			{program: "fine-either-way", began: 30, stages: []stage{
				{step: "L1", sessions: quick("Orla", 28, 27, 26), decision: newel.DecisionAdvance, reason: "A card lost, and she played on."},
				{step: "L2", sessions: quick("Orla", 24, 23, 21), decision: newel.DecisionAdvance, reason: "Warned, she is fine. Now without warning.", expected: "Back in the game within a minute."},
				{step: "L3", sessions: []sitting{
					{daysAgo: 11, who: "Orla", correct: 3, of: 4, seconds: 40},
					{daysAgo: 10, who: "Orla", correct: 4, of: 5, seconds: 35},
					{daysAgo: 8, who: "Cian", correct: 3, of: 5, seconds: 60},
					{daysAgo: 7, who: "Orla", correct: 4, of: 5, seconds: 70},
					{daysAgo: 5, who: "Orla", correct: 3, of: 4, seconds: 95},
					{daysAgo: 4, who: "Cian", correct: 3, of: 5, seconds: 110},
					{daysAgo: 2, who: "Orla", correct: 4, of: 5, seconds: 120},
					{daysAgo: 1, who: "Orla", correct: 3, of: 5, seconds: 150},
				}},
			}},
		},
	}
}

// quick is a step climbed at once: all correct, one session a day.
func quick(who string, daysAgo ...int) []sitting {
	list := make([]sitting, len(daysAgo))
	for i, d := range daysAgo {
		list[i] = sitting{daysAgo: d, who: who, correct: 4, of: 4}
	}
	return list
}
