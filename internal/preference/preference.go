// Package preference scores preference assessments: which things a child chose,
// of those offered, and how often. A score ranks the things of one assessment
// on one day; preferences change.
package preference

import (
	"slices"

	"newel/internal/exact"
)

// Item is how one thing came out.
type Item struct {
	Item string `json:"item"`
	// Chosen of Presented trials; nil for a free assessment.
	Chosen    *int `json:"chosen,omitempty"`
	Presented *int `json:"presented,omitempty"`
	// Percent of the presentations on which it was chosen, or of the time in which
	// the child was engaged with it; nil if it was never presented.
	Percent *float64 `json:"percent"`
	// Rank from 1, the most chosen; equal percentages share the mean rank. nil if
	// it was never presented.
	Rank *float64 `json:"rank"`
}

// Ranking are the things of an assessment in the order of their ranks, equal
// ones in the order in which they were given, those never presented last.
type Ranking struct {
	Items []Item `json:"items"`
}

// Choice is one trial of a paired assessment: two things, and which was chosen;
// empty for neither.
type Choice struct {
	Of     [2]string
	Chosen string
}

// Paired scores an assessment in which things are offered two at a time: times
// chosen ÷ times presented (Fisher and others 1992, recalled). Items are
// distinct, and choices of two different of them.
func Paired(items []string, choices []Choice) Ranking {
	t := newTally(items)
	for _, c := range choices {
		for _, of := range c.Of {
			t[of].presented++
		}
		if c.Chosen != "" {
			t[c.Chosen].chosen++
		}
	}
	return t.ranking(items)
}

// Multiple scores an assessment in which all things lie there and what was
// chosen is not put back: times chosen ÷ trials on which it was still there,
// over all sessions (DeLeon and Iwata 1996, seen in substance). A session is the
// things chosen, in order; an empty one at its end is a trial on which none of
// what was left was chosen. Trials that a session did not come to do not count.
func Multiple(items []string, sessions [][]string) Ranking {
	t := newTally(items)
	for _, picks := range sessions {
		left := slices.Clone(items)
		for _, pick := range picks {
			for _, item := range left {
				t[item].presented++
			}
			if pick != "" {
				t[pick].chosen++
				left = slices.DeleteFunc(left, func(item string) bool { return item == pick })
			}
		}
	}
	return t.ranking(items)
}

// Engaged is how long a child was engaged with a thing, in seconds.
type Engaged struct {
	Item    string
	Seconds exact.Rat
}

// Free scores an assessment in which all things lie there all the time: percent
// of the observed time engaged with each (Roane and others 1998, abstract seen).
// They need not sum to 100.
func Free(observedS exact.Rat, engaged []Engaged) Ranking {
	scores := make([]score, len(engaged))
	for i, e := range engaged {
		scores[i] = score{item: Item{Item: e.Item}}
		if observedS.Sign() > 0 {
			scores[i].share, scores[i].known = e.Seconds.Quo(observedS), true
		}
	}
	return rank(scores)
}

type count struct{ chosen, presented int }

type tally map[string]*count

func newTally(items []string) tally {
	t := make(tally, len(items))
	for _, item := range items {
		t[item] = &count{}
	}
	return t
}

func (t tally) ranking(items []string) Ranking {
	scores := make([]score, len(items))
	for i, item := range items {
		c := t[item]
		scores[i] = score{item: Item{Item: item, Chosen: &c.chosen, Presented: &c.presented}}
		if c.presented > 0 {
			scores[i].share, scores[i].known = exact.Frac(int64(c.chosen), int64(c.presented)), true
		}
	}
	return rank(scores)
}

// score is an item on its way to a rank; known is false if it has no share.
type score struct {
	item  Item
	share exact.Rat
	known bool
}

func rank(scores []score) Ranking {
	slices.SortStableFunc(scores, func(a, b score) int {
		if a.known != b.known {
			if a.known {
				return -1
			}
			return 1
		}
		return b.share.Cmp(a.share)
	})
	out := Ranking{Items: make([]Item, len(scores))}
	for i := 0; i < len(scores); {
		end := i + 1
		for end < len(scores) && scores[end].known == scores[i].known && scores[end].share.Equal(scores[i].share) {
			end++
		}
		// The mean of the ranks i + 1 … end.
		mean := float64(i+1+end) / 2
		for ; i < end; i++ {
			item := scores[i].item
			if scores[i].known {
				percent := exact.Int(100).Mul(scores[i].share).Float64()
				item.Percent, item.Rank = &percent, &mean
			}
			out.Items[i] = item
		}
	}
	return out
}
