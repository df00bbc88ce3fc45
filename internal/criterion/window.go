package criterion

// followWindow goes through the counted sessions in order and records at which
// of them the window is satisfied and the criterion is met.
func (e *evaluation) followWindow() {
	run := 0
	for i, j := range e.counted {
		if j.qualifies {
			run++
		} else {
			run = 0
		}
		have := run
		if !e.criterion.Window.InARow() {
			have = len(e.restsOn(i))
		}
		j.satisfied = j.qualifies && have >= e.criterion.Window.Need
		if e.met < 0 {
			e.run = have
			if j.satisfied && len(e.shortOfBreadth(i)) == 0 {
				e.met = i
			}
		}
	}
}

// restsOn returns the qualifying sessions that the window is based on at the
// counted session i: for sessions in a row, the whole unbroken run up to it;
// for the last n, the qualifying ones among those.
func (e *evaluation) restsOn(i int) []*judged {
	w := e.criterion.Window
	if w.InARow() {
		from := i + 1
		for from > 0 && e.counted[from-1].qualifies {
			from--
		}
		return e.counted[from : i+1]
	}
	rests := make([]*judged, 0, w.Of)
	for _, j := range e.counted[max(0, i+1-w.Of) : i+1] {
		if j.qualifies {
			rests = append(rests, j)
		}
	}
	return rests
}

// shortOfBreadth returns which of days, people, places and homes are insufficient at
// the counted session i (-1: there is none yet).
func (e *evaluation) shortOfBreadth(i int) []Lacking {
	c := &e.criterion
	if c.Days+c.People+c.Places+c.Homes == 0 {
		return nil
	}
	var rests []*judged
	if i >= 0 {
		rests = e.restsOn(i)
	}
	var short []Lacking
	ask := func(what What, need int, have func() int) {
		if need == 0 {
			return
		}
		if n := have(); n < need {
			short = append(short, Lacking{what, n, need})
		}
	}
	ask(WhatDays, c.Days, func() int {
		return distinct(rests, func(j *judged) int { return j.day })
	})
	ask(WhatPeople, c.People, func() int {
		return named(rests, func(j *judged) string { return j.By })
	})
	ask(WhatPlaces, c.Places, func() int {
		return named(rests, func(j *judged) string { return j.Place })
	})
	ask(WhatHomes, c.Homes, func() int {
		return named(rests, func(j *judged) string {
			if j.PlaceSort != PlaceSortHome {
				return ""
			}
			return j.Place
		})
	})
	return short
}

func distinct[K comparable](list []*judged, key func(*judged) K) int {
	seen := make(map[K]bool, len(list))
	for _, j := range list {
		seen[key(j)] = true
	}
	return len(seen)
}

// named returns the number of distinct non-empty names.
func named(list []*judged, name func(*judged) string) int {
	n := distinct(list, name)
	for _, j := range list {
		if name(j) == "" {
			return n - 1
		}
	}
	return n
}

// lacking returns what is still missing at the latest counted session; empty
// once met.
func (e *evaluation) lacking() []Lacking {
	short := []Lacking{}
	if e.met >= 0 {
		return short
	}
	if need := e.criterion.Window.Need; e.run < need {
		short = append(short, Lacking{WhatSessions, e.run, need})
	}
	return append(short, e.shortOfBreadth(len(e.counted)-1)...)
}
