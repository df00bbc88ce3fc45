package verification

var luckGroups = []group{
	{
		title:   `Criteria met by luck`,
		about:   `The true accuracy of the first learner is 20 points short of the goal, that of the second 10 points beyond it and at most 95%. Trials are independent.`,
		kind:    `luck`,
		columns: `first learner, percent|met in 10|met in 20|second learner, percent|met in 10|met in 20`,
		source:  `enumeration of every sequence of 10 and of 20 sessions in Python's fractions, by internal/verification/luck.py (it takes a minute)`,
		mark:    computed,
		rows: []row{
			{what: `80% in 2 sessions in a row, 5 trials`, in: `{"criterion": "80% in 2 sessions in a row", "trials": 5}`, says: `unlearnt.percent=60 unlearnt.within_10=0.5850736262 unlearnt.within_20=0.8404307308 learnt.percent=90 learnt.within_10=0.9999775545 learnt.within_20=0.9999999998`},
			{what: `80% in 3 sessions in a row, 6 trials`, in: `{"criterion": "80% in 3 sessions in a row", "trials": 6}`, says: `unlearnt.percent=60 unlearnt.within_10=0.0797668242 unlearnt.within_20=0.1680302457 learnt.percent=90 learnt.within_10=0.9921641798 learnt.within_20=0.9999724284`},
			{what: `80% in 4 sessions in a row, 5 trials`, in: `{"criterion": "80% in 4 sessions in a row", "trials": 5}`, says: `unlearnt.percent=60 unlearnt.within_10=0.0638849938 unlearnt.within_20=0.1435729110 learnt.percent=90 learnt.within_10=0.9738625367 learnt.within_20=0.9997585417`},
			{what: `80% in 4 of the last 5 sessions, 3 trials`, in: `{"criterion": "80% in 4 of the last 5 sessions", "trials": 3}`, says: `unlearnt.percent=60 unlearnt.within_10=0.0343894570 unlearnt.within_20=0.0828389919 learnt.percent=90 learnt.within_10=0.8879387956 learnt.within_20=0.9930434383`},
			{what: `80% in 3 of the last 4 sessions, 4 trials`, in: `{"criterion": "80% in 3 of the last 4 sessions", "trials": 4}`, says: `unlearnt.percent=60 unlearnt.within_10=0.0362928243 unlearnt.within_20=0.0816666533 learnt.percent=90 learnt.within_10=0.9306871404 learnt.within_20=0.9970623327`},
			{what: `80% in 4 sessions in a row, 2 trials`, in: `{"criterion": "80% in 4 sessions in a row", "trials": 2}`, says: `unlearnt.percent=60 unlearnt.within_10=0.0808167597 unlearnt.within_20=0.1791195568 learnt.percent=90 learnt.within_10=0.8440956593 learnt.within_20=0.9853780521`},
			{what: `90% in 2 sessions in a row, 10 trials`, in: `{"criterion": "90% in 2 sessions in a row", "trials": 10}`, says: `unlearnt.percent=70 unlearnt.within_10=0.1661525984 unlearnt.within_20=0.3168467420 learnt.percent=95 learnt.within_10=0.9999702951 learnt.within_20=0.9999999996`},
			{what: `90% in 3 sessions in a row, 5 trials`, in: `{"criterion": "90% in 3 sessions in a row", "trials": 5}`, says: `unlearnt.percent=70 unlearnt.within_10=0.0322264309 unlearnt.within_20=0.0702235439 learnt.percent=95 learnt.within_10=0.9368019494 learnt.within_20=0.9974627254`},
			{what: `90% in 3 of the last 4 sessions, 6 trials`, in: `{"criterion": "90% in 3 of the last 4 sessions", "trials": 6}`, says: `unlearnt.percent=70 unlearnt.within_10=0.0279006581 unlearnt.within_20=0.0632652248 learnt.percent=95 learnt.within_10=0.9765288804 learnt.within_20=0.9997167295`},
			{what: `100% in 3 sessions in a row, 10 trials`, in: `{"criterion": "100% in 3 sessions in a row", "trials": 10}`, says: `unlearnt.percent=80 unlearnt.within_10=0.0089602626 unlearnt.within_20=0.0198932707 learnt.percent=95 learnt.within_10=0.6990738264 learnt.within_20=0.9264809792`},
			{what: `100% in 3 of the last 4 sessions, 8 trials`, in: `{"criterion": "100% in 3 of the last 4 sessions", "trials": 8}`, says: `unlearnt.percent=80 unlearnt.within_10=0.0719768885 unlearnt.within_20=0.1571938839 learnt.percent=95 learnt.within_10=0.9364381574 learnt.within_20=0.9975636793`},
			{what: `100% in 3 sessions in a row, 3 trials`, in: `{"criterion": "100% in 3 sessions in a row", "trials": 3}`, says: `unlearnt.percent=80 unlearnt.within_10=0.5318012554 unlearnt.within_20=0.8088670061 learnt.percent=95 learnt.within_10=0.9843833542 learnt.within_20=0.9998766921`},
		},
	},
}
