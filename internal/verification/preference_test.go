package verification

var preferenceGroups = []group{
	{
		title:  `Paired choices, six items`,
		about:  `Chosen ÷ presented. Ties share the mean rank.`,
		kind:   `preference`,
		source: `worked example, exact computation`,
		mark:   computed,
		rows: []row{
			{what: `15 pairs, one without a choice`, in: `{"kind": "paired", "items": ["A","B","C","D","E","F"], "choices": [{"of": ["A","B"], "chosen": "A"}, {"of": ["A","C"], "chosen": "A"}, {"of": ["A","D"], "chosen": "A"}, {"of": ["A","E"], "chosen": "A"}, {"of": ["A","F"], "chosen": "A"}, {"of": ["B","C"], "chosen": "C"}, {"of": ["B","D"], "chosen": "B"}, {"of": ["B","E"], "chosen": "B"}, {"of": ["B","F"], "chosen": "B"}, {"of": ["C","D"], "chosen": "C"}, {"of": ["C","E"], "chosen": "C"}, {"of": ["C","F"], "chosen": "C"}, {"of": ["D","E"], "chosen": "E"}, {"of": ["D","F"], "chosen": "D"}, {"of": ["E","F"], "chosen": ""}]}`, says: `items.0.item=A items.0.chosen=5 items.0.presented=5 items.0.percent=100 items.0.rank=1 items.1.item=C items.1.chosen=4 items.1.presented=5 items.1.percent=80 items.1.rank=2 items.2.item=B items.2.chosen=3 items.2.presented=5 items.2.percent=60 items.2.rank=3 items.3.item=D items.3.chosen=1 items.3.presented=5 items.3.percent=20 items.3.rank=4.5 items.4.item=E items.4.chosen=1 items.4.presented=5 items.4.percent=20 items.4.rank=4.5 items.5.item=F items.5.chosen=0 items.5.presented=5 items.5.percent=0 items.5.rank=6`},
		},
	},
	{
		title:  `Multiple stimulus without replacement`,
		about:  `A trial without a choice counts as a presentation of all remaining items, and ends the session. The rank is by percent. Newel does not report mean ranks or points.`,
		kind:   `preference`,
		source: `exact computation; we saw the substance of the scoring (DeLeon and Iwata 1996)`,
		mark:   computed,
		rows: []row{
			{what: `BADCE, ABDEC, BACDE`, in: `{"kind": "multiple", "items": ["A", "B", "C", "D", "E"], "sessions": [["B", "A", "D", "C", "E"], ["A", "B", "D", "E", "C"], ["B", "A", "C", "D", "E"]]}`, says: `items.0.item=B items.0.chosen=3 items.0.presented=4 items.0.percent=75.0000 items.0.rank=1 items.1.item=A items.1.chosen=3 items.1.presented=5 items.1.percent=60.0000 items.1.rank=2 items.2.item=D items.2.chosen=3 items.2.presented=10 items.2.percent=30.0000 items.2.rank=3 items.3.item=C items.3.chosen=3 items.3.presented=12 items.3.percent=25.0000 items.3.rank=4 items.4.item=E items.4.chosen=3 items.4.presented=14 items.4.percent=21.4286 items.4.rank=5`},
			{what: `BADCE, ABD·, BA·`, in: `{"kind": "multiple", "items": ["A", "B", "C", "D", "E"], "sessions": [["B", "A", "D", "C", "E"], ["A", "B", "D", ""], ["B", "A", ""]]}`, says: `items.0.item=B items.0.chosen=3 items.0.presented=4 items.0.percent=75 items.0.rank=1 items.1.item=A items.1.chosen=3 items.1.presented=5 items.1.percent=60 items.1.rank=2 items.2.item=D items.2.chosen=2 items.2.presented=9 items.2.percent=22.2222 items.2.rank=3 items.3.item=C items.3.chosen=1 items.3.presented=11 items.3.percent=9.0909 items.3.rank=4 items.4.item=E items.4.chosen=1 items.4.presented=12 items.4.percent=8.3333 items.4.rank=5`},
			{what: `one session of seven`, in: `{"kind": "multiple", "items": ["A", "B", "C", "D", "E", "F", "G"], "sessions": [["A", "B", "C", "D", "E", "F", "G"]]}`, says: `items.0.percent=100 items.1.percent=50 items.2.percent=33.3333 items.3.percent=25 items.4.percent=20 items.5.percent=16.6667 items.6.percent=14.2857`},
		},
	},
	{
		title:  `Free choice`,
		kind:   `preference`,
		source: `exact computation; the procedure as in the abstract of Roane and others 1998`,
		mark:   computed,
		rows: []row{
			{what: `300 s: blocks 132, car 60, puzzle 45, doll 0`, in: `{"kind": "free", "observed_s": 300, "engaged_s": {"blocks": 132, "car": 60, "puzzle": 45, "doll": 0}}`, says: `items.0.item=blocks items.0.percent=44 items.1.percent=20 items.2.percent=15 items.3.percent=0 items.3.rank=4`},
		},
	},
}
