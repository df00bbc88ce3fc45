package demo

import (
	"time"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/recording"
)

// born returns the birth month of a child of the given age in years.
func born(today time.Time, years int) string { return today.AddDate(-years, -2, 0).Format("2006-01") }

// households returns the invented families with what they were taught.
func households(today time.Time) []household {
	// The longest first, because they are filled concurrently.
	return []household{castellane(today), brennick(today), arunadi(today), okonwale(today), lindqvale(today), haddarin(today)}
}

func arunadi(today time.Time) household {
	return household{
		name: "Arunadi", zone: "Asia/Kuala_Lumpur", language: "ms", supervisor: "supervisor", child: "Kavi", born: born(today, 4),
		care: newel.Care{
			Alerts:       newel.Alerts{Asked: true, Mouthing: "Small things, such as beads."},
			StopSigns:    "Turns his whole body away.",
			TouchAllowed: true,
			HelpNotes:    "Opah does not read. The photo strips are for her too.",
		},
		consentBy: "Sari, mother", consents: []newel.ConsentKind{newel.ConsentVideo}, people: []string{"Sari", "Opah"}, phones: []string{"Sari"},
		skills: []shown{
			{"copies one action", newel.SkillAcquired, "Claps, stamps and taps the table after Sari: 5 of 5 at the second visit."},
			{"says or shows one choice", newel.SkillAcquired, "Points to one of two things, at home and on the call."},
		},
		courses: []course{kaviWaits, kaviWashes, kaviHides}, // messages are written in order
	}
}

// kaviWashes: the fifth part shows no progress, is split into smaller steps,
// and then works. One bad day makes the trials that met the smaller step few.
var kaviWashes = course{program: "washing-hands", began: 0, last: 42, daysAgo: 1, stages: []stage{
	{step: "B1", sessions: sat(
		row{1, "Sari", "home", 2, 3}, row{2, "Sari", "home", 3, 3}, row{2, "Opah", "home", 3, 3}, row{3, "Sari", "home", 3, 3},
		row{4, "Sari", "home", 3, 3},
	), decision: newel.DecisionAdvance, decided: app.DecisionInput{
		Reason: "He hangs the towel up every time, with Opah too.", Expected: "Both hands dried in 2 of 3 tries.",
	}},
	showing("dries hands", advanced("", "B2", quick("Sari", 3, 5, 6, 7, 8), "Dries front and back.")),
	advanced("", "B3", quick("Opah", 3, 9, 10, 11, 12), "Turns off the tap without a reminder."),
	advanced("", "B4", quick("Sari", 3, 14, 15, 17, 18), "No foam left on his hands."),
	{step: "B5", sessions: sat(
		row{20, "Sari", "home", 0, 3}, row{21, "Opah", "home", 1, 3}, row{22, "Sari", "home", 0, 3}, row{23, "Sari", "home", 1, 3},
		row{24, "Opah", "home", 1, 3}, row{25, "Sari", "home", 0, 3}, row{26, "Sari", "home", 1, 3}, row{27, "Opah", "home", 0, 3},
		row{28, "Sari", "home", 1, 3}, row{29, "Sari", "home", 1, 3}, row{30, "Opah", "home", 0, 3}, row{31, "Sari", "home", 1, 3},
		row{32, "Sari", "home", 0, 3}, row{33, "Opah", "home", 1, 3},
	), decision: newel.DecisionBranch, decided: app.DecisionInput{
		Reason:   "This step had two movements, and the backs of the hands are the harder one. That one comes first now, on its own.",
		Expected: "The backs without help in 3 of 3 within a week.",
		Steps: []app.SmallerStep{
			{Label: "B5a", Name: "Rub the backs of the hands", DoneWhen: "Rubs the back of each hand for five seconds and does everything after it without help."},
			{Label: "B5b", Name: "Rub between the fingers", DoneWhen: "Rubs between the fingers of each hand for five seconds and does everything after it without help."},
		},
	}},
	{step: "B5a", sessions: sat(
		row{36, "Sari", "home", 2, 3}, row{37, "Sari", "home", 3, 3}, row{38, "Opah", "home", 3, 3}, row{39, "Sari", "home", 0, 3},
		row{41, "Sari", "home", 3, 3}, row{42, "Opah", "home", 3, 3},
	), deeds: []event{
		withdraws(35, newel.ConsentVideo),
		reviews(
			37, "Sari", agreed{"Hang the towel where Kavi can reach it without stretching.", newel.OwnedByFamily, 0, true},
			agreed{"Let Opah teach once before the next call.", newel.OwnedByFamily, 7, false},
			agreed{"Send a photo strip for the backs of the hands.", newel.OwnedByClinic, 5, false},
		),
		writes(39, "Sari", "Not today. He had a fever in the night and only wanted to lie down.", "Then today does not matter. Wait until he is well again."),
		writes(41, "Sari", "The towel hangs lower now. He took it by himself before I said anything.", "How good! Tell him what he did, and leave the towel there."),
		writes(42, "Sari", "His cousin is visiting next week. Can she wash her hands next to him?", ""),
		judges(42, newel.ExpectationMet, "Four of the last five times, and Opah saw it too."),
	}},
}}

// kaviHides: the Finder is far ahead of the Hider.
var kaviHides = course{program: "which-cup", began: -22, last: 5, daysAgo: 1, stages: []stage{
	advanced("Finder", "U1", quick("Sari", 5, -21, -20, -19, -18), "Turns away and waits. Three cups now."),
	advanced("Finder", "U2", quick("Sari", 5, -16, -15, -14, -13), "Steady with three cups. Time to hide as well."),
	advanced("Finder", "U3", quick("Opah", 5, -11, -10, -9, -8), "With Opah and Sari together."),
	advanced("Hider", "U1", quick("Sari", 5, -6, -5, -4, -3), "Keeps the secret, hands on his knees."),
	{role: "Finder", step: "U4", sessions: sat(
		row{1, "Sari", "home", 4, 5}, row{2, "Sari", "home", 5, 5}, row{3, "Sari", "home", 5, 5}, row{4, "Sari", "home", 5, 5},
	)},
	{role: "Hider", step: "U2", sessions: sat(row{1, "Sari", "home", 2, 5}, row{2, "Opah", "home", 2, 2}, row{5, "Sari", "home", 3, 5})},
}}

// kaviWaits: Opah takes the program over from Sari while he learns. That he does
// better with Opah is not a difference between the two.
var kaviWaits = course{program: "waiting", allTheSame: true, began: -8, last: 12, daysAgo: 1, stages: []stage{
	{step: "W1", sessions: sat(
		row{-7, "Sari", "home", 2, 5}, row{-6, "Sari", "home", 3, 5}, row{-4, "Sari", "home", 2, 5}, row{-3, "Sari", "home", 3, 5},
		row{-1, "Sari", "home", 3, 5}, row{1, "Opah", "home", 3, 5}, row{2, "Sari", "home", 3, 5}, row{4, "Opah", "home", 4, 5},
		row{6, "Opah", "home", 3, 5}, row{8, "Opah", "home", 4, 5}, row{10, "Opah", "home", 4, 5}, row{12, "Opah", "home", 5, 5},
	), deeds: []event{
		writes(3, "Sari", "I start work again on Monday. Opah will do the waiting game with him.", "Thank you for telling us. I have watched Opah on the call, and she waits just as you do."),
		decides(8, newel.DecisionSeen, "Better from week to week, and that began before Opah did."),
	}},
}}

func brennick(today time.Time) household {
	return household{
		name: "Brennick", zone: "Europe/Dublin", language: "en", supervisor: "supervisor", child: "Wren", born: born(today, 5),
		care: newel.Care{
			Alerts:    newel.Alerts{Asked: true, Allergy: "Egg."},
			StopSigns: "Says “no thank you” or puts her hands over her ears.",
			HelpNotes: "No help by touch. She asks for it when she wants it.",
		},
		consentBy: "Orla and Cian, parents", people: []string{"Orla", "Cian"}, phones: []string{"Orla", "Cian"},
		skills: []shown{
			{"matches a thing to its photo", newel.SkillMaintained, "Eight of eight with new photos. The same at preschool since fall."},
			{"matches pictures", newel.SkillAcquired, "Ten of ten with the preschool's cards."},
			{"takes one turn with a toy", newel.SkillAcquired, "Marble run with Cian: waits, drops, passes. Four of four."},
			{"has a coping step", newel.SkillAcquired, "Squeezes her hands and says “next time”, by herself, three times on the first call."},
			{"plays pairs to the end", newel.SkillEmerging, "With three pairs and help."},
		},
		courses: []course{wrenPacks, wrenPlays, wrenLoses},
	}
}

// wrenPacks: a textbook course. One session was entered twice, one had a second
// observer, and a phone was an hour fast after the clocks had changed.
var wrenPacks = course{program: "swimming-bag", began: 0, last: 26, daysAgo: 1, stages: []stage{
	{
		step: "S1", sessions: but(but(but(sat(
			row{1, "Orla", "home", 2, 8}, row{3, "Orla", "home", 3, 8}, row{5, "Cian", "home", 3, 8}, row{8, "Orla", "home", 5, 8},
			row{10, "Orla", "home", 5, 8}, row{12, "Cian", "home", 6, 8}, row{15, "Orla", "home", 7, 8}, row{17, "Orla", "home", 8, 8},
			row{19, "Cian", "home", 7, 8}, row{22, "Orla", "home", 8, 8}, row{24, "Orla", "home", 8, 8}, row{26, "Cian", "home", 8, 8},
		), 4, func(s *sitting) { s.name, s.twin = "packed on day 8", "Cian" }),
			8, func(s *sitting) { s.name, s.watched = "packed on day 17", "Cian" }),
			7, func(s *sitting) { s.clockFast = time.Hour }),
		deeds: []event{
			amends(11, "packed on day 8 again", recording.VoidSession(), "One bag, recorded by both. Orla was there, so hers counts."),
			amends(17, "packed on day 17 watched", recording.VoidSession(), "Cian watched and recorded too, as we had agreed. Orla's record counts."),
			decides(20, newel.DecisionSeen, ""),
		},
	},
}}

// wrenPlays: one value was corrected; the last game ended with a no.
var wrenPlays = course{program: "memory-pairs", withoutTouch: true, began: -20, last: 9, daysAgo: 1, stages: []stage{
	advanced("", "G1", quick("Orla", 6, -19, -18, -17), "Knows what a pair is."),
	advanced("", "G2", quick("Orla", 6, -15, -14, -13), "Turns the cards back without a reminder."),
	showing("plays pairs to the end", advanced("", "G3", quick("Cian", 6, -11, -10, -9), "Six pairs, to the end.")),
	advanced("", "G4", quick("Orla", 6, -6, -5, -4), "Waits for two others."),
	{
		step: "G5", sessions: but(sat(
			row{1, "Orla", "home", 4, 8}, row{2, "Orla", "home", 6, 7}, row{4, "Orla", "cousin's house", 7, 7}, row{5, "Cian", "home", 8, 8},
			row{6, "Orla", "home", 7, 7},
		), 2, func(s *sitting) { all := 7; s.name, s.as = "pairs on day 2", &all }),
		deeds:    []event{amends(3, "pairs on day 2", notYet(4), "Orla by phone: she pointed for the fourth turn. 6 of 7, not 7.")},
		decision: newel.DecisionAdvance, decided: app.DecisionInput{
			Reason: "It works with her cousin, 7, too. Now step back to the other end of the room.", Expected: "The first game will be shorter.",
		},
	},
	{step: "G6", sessions: but(sat(row{7, "Orla", "home", 6, 6}, row{9, "Orla", "home", 2, 4}),
		2, func(s *sitting) { s.ended, s.declined = recording.EndedDistress, 1 })},
}}

// wrenLoses: percentages hardly change while she takes longer and longer.
var wrenLoses = course{program: "fine-either-way", allTheSame: true, began: -12, last: 11, daysAgo: 1, stages: []stage{
	advanced("", "L1", quick("Orla", 4, -11, -10, -9), "She lost a card and played on."),
	{step: "L2", sessions: quick("Orla", 4, -6, -5, -3), decision: newel.DecisionAdvance, decided: app.DecisionInput{
		Reason: "With a warning, she is fine. Now without one.", Expected: "Back in the game within a minute.",
	}},
	{step: "L3", sessions: but(timed(sat(
		row{1, "Orla", "home", 4, 5}, row{2, "Orla", "home", 4, 5}, row{4, "Cian", "home", 3, 5}, row{5, "Orla", "home", 4, 5},
		row{7, "Orla", "home", 4, 5}, row{8, "Cian", "home", 3, 5}, row{10, "Orla", "home", 4, 5}, row{11, "Orla", "home", 3, 5},
	), 40, 35, 60, 70, 95, 110, 120, 150), 6, func(s *sitting) { s.ended = recording.EndedOther })},
}}
