// Package preference scores preference assessments: which items a child chose,
// of those offered, and how often. A score ranks the items of one assessment on
// one day; preferences change.
package preference

import (
	"slices"

	"newel/internal/exact"
)

// Item is the result for one item.
type Item struct {
	Item string `json:"item"`
	// Chosen of Presented trials; nil for a free assessment.
	Chosen    *int `json:"chosen,omitempty"`
	Presented *int `json:"presented,omitempty"`
	// Percent is the percentage of presentations on which the item was chosen,
	// or of the observed time in which the child engaged with it; nil if it was
	// never presented.
	Percent *float64 `json:"percent"`
	// Rank starts at 1 for the most chosen item; equal percentages share their
	// mean rank. nil if the item was never presented.
	Rank *float64 `json:"rank"`
}

// Ranking lists the items of an assessment in order of rank. Ties keep the
// order in which they were given; items never presented come last.
type Ranking struct {
	Items []Item `json:"items"`
}

// Choice is one trial of a paired assessment: the two items and the one chosen,
// which is empty for neither.
type Choice struct {
	Of     [2]string
	Chosen string
}

// Paired scores an assessment in which items are offered two at a time: times
// chosen ÷ times presented (Fisher and others 1992, recalled). Items must be
// distinct, and so must the two items of each choice.
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

// Multiple scores an assessment in which all items are offered together and a
// chosen item is not replaced: times chosen ÷ trials on which it was still
// available, over all sessions (DeLeon and Iwata 1996, seen in substance). A
// session lists the items chosen, in order; an empty one at the end is a trial
// on which the child chose none of the remaining items. Trials that a session
// did not get to do not count.
func Multiple(items []string, sessions [][]string) Ranking {
	t := newTally(items)
	for _, picks := range sessions {
		trials := len(picks)
		// An item was on offer until it was chosen, or on every trial.
		for _, c := range t {
			c.presented += trials
		}
		for i, pick := range picks {
			if pick != "" {
				t[pick].chosen++
				t[pick].presented -= trials - (i + 1)
			}
		}
	}
	return t.ranking(items)
}

// Engaged is how long a child engaged with an item, in seconds.
type Engaged struct {
	Item    string
	Seconds exact.Rat
}

// Free scores an assessment in which all items are available throughout: the
// percentage of the observed time that the child engaged with each (Roane and
// others 1998, abstract seen). The percentages need not sum to 100.
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

// score is an item with the share it will be ranked by; known is false if it
// has no share.
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
