package demo

import "newel/internal/program"

// told is a criterion under which a story of the invented clinic was recorded,
// with the trials that were planned.
type told struct{ trials, criterion string }

// toldUnder lists the steps that keep such a criterion instead of the starter's,
// by starter and key. Luck meets most of them, and two keep a child waiting; but
// under the starter's criterion the recorded sessions would not meet the step
// where the story says that they did.
var toldUnder = map[string]map[string]told{
	"asking-for-a-break": {
		"k1": {"5", "90% with help up to show in 2 sessions in a row, 5 or more trials"},         // K1
		"k2": {"5", "80% independent in 2 sessions in a row, 5 or more trials"},                  // K2
		"k3": {"5", "80% independent in 3 sessions in a row, 5 or more trials, across 2 people"}, // K3
	},
	"bakery": {
		"a2": {"8", "100% independent in 2 sessions in a row, 8 or more trials"}, // B
		"a3": {"8", "100% independent in 2 sessions in a row, 8 or more trials"}, // C
	},
	"fine-either-way": {
		"l1": {"4", "80% independent in 3 sessions in a row, 4 or more trials, across 2 days"},                                   // L1
		"l2": {"4", "80% independent in 3 sessions in a row, 4 or more trials, across 2 days"},                                   // L2
		"l3": {"5", "80% independent in 3 sessions in a row, 4 or more trials, across 2 days, and a response within 60 seconds"}, // L3
	},
	"memory-pairs": {
		"g1": {"6", "90% independent in 2 sessions in a row, 6 or more trials"},                // G1
		"g2": {"6", "90% independent in 2 sessions in a row, 6 or more trials, across 2 days"}, // G2
		"g3": {"6", "90% independent in 2 sessions in a row, 6 or more trials, across 2 days"}, // G3
		"g4": {"6", "90% independent in 2 sessions in a row, 6 or more trials, across 2 days"}, // G4
		"g5": {"6", "90% independent in 2 sessions in a row, 6 or more trials, across 2 days"}, // G5
		"g6": {"6", "90% independent in 2 sessions in a row, 6 or more trials, across 2 days"}, // G6
	},
	"toothbrush": {
		"t1": {"5", "80% independent in 3 sessions in a row, 4 or more trials, across 2 days"},                  // T1
		"t2": {"5", "80% independent in 3 sessions in a row, 4 or more trials, across 2 days"},                  // T2
		"t3": {"5", "80% independent in 3 sessions in a row, 4 or more trials, across 2 days"},                  // T3
		"t4": {"5", "80% independent in 3 sessions in a row, 4 or more trials, across 2 days"},                  // T4
		"t5": {"5", "80% independent in 3 sessions in a row, 4 or more trials, across 2 days, across 2 places"}, // T5
	},
	"two-step-directions": {
		"d1": {"10", "90% independent in 2 sessions in a row, 10 or more trials"}, // D1
		"d2": {"10", "90% independent in 2 sessions in a row, 10 or more trials"}, // D2
		"d3": {"10", "90% independent in 2 sessions in a row, 10 or more trials"}, // D3
		"d4": {"10", "90% independent in 2 sessions in a row, 10 or more trials"}, // D4
	},
	"waiting": {
		"w1": {"5", "80% independent in 3 sessions in a row, 5 or more trials, across 2 days"}, // W1
		"w2": {"5", "80% independent in 3 sessions in a row, 5 or more trials, across 2 days"}, // W2
		"w3": {"5", "80% independent in 3 sessions in a row, 5 or more trials, across 2 days"}, // W3
		"w4": {"5", "80% independent in 3 sessions in a row, 5 or more trials, across 2 days"}, // W4
		"w5": {"5", "80% independent in 3 sessions in a row, 5 or more trials, across 2 days"}, // W5
	},
	"washing-hands": {
		"b1": {"3", "100% independent in 3 sessions in a row, 2 or more trials, across 2 days"}, // B1
		"b2": {"3", "100% independent in 3 sessions in a row, 2 or more trials, across 2 days"}, // B2
		"b3": {"3", "100% independent in 3 sessions in a row, 2 or more trials, across 2 days"}, // B3
		"b4": {"3", "100% independent in 3 sessions in a row, 2 or more trials, across 2 days"}, // B4
		"b5": {"3", "100% independent in 3 sessions in a row, 2 or more trials, across 2 days"}, // B5
	},
	"which-cup": {
		"f1": {"5", "80% independent in 2 sessions in a row, 5 or more trials"}, // U1
		"f2": {"5", "80% independent in 2 sessions in a row, 5 or more trials"}, // U2
		"f3": {"5", "80% independent in 2 sessions in a row, 5 or more trials"}, // U3
		"f4": {"5", "80% independent in 2 sessions in a row, 5 or more trials"}, // U4
		"h1": {"5", "80% independent in 2 sessions in a row, 5 or more trials"}, // U1
		"h2": {"5", "80% independent in 2 sessions in a row, 5 or more trials"}, // U2
	},
}

// asTold writes those criteria into a program that was begun from a starter.
func asTold(starter string, sheet *program.Sheet) {
	for key, t := range toldUnder[starter] {
		sheet.Fields[program.StepField(key, "trials")] = t.trials
		sheet.Fields[program.StepField(key, "criterion")] = t.criterion
	}
}
