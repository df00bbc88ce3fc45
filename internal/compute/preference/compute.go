package preference

import (
	"fmt"
	"strings"

	"newel/internal/exact"
	"newel/internal/strict"
)

// Compute reads an assessment as JSON and returns its Ranking. An error about
// the input is a *strict.Error.
func Compute(document []byte) (any, error) {
	var kind string
	err := strict.Read(document, func(d *strict.Decoder) error {
		return d.Object([]string{"kind"}, func(name string) error {
			if name == "kind" {
				return d.Text(&kind)
			}
			return d.Skip()
		})
	})
	if err != nil {
		return nil, err
	}
	switch kind {
	case "paired":
		return computePaired(document)
	case "multiple":
		return computeMultiple(document)
	case "free":
		return computeFree(document)
	}
	return nil, strict.At("kind", "%q is not one of paired, multiple and free", kind)
}

// Limits on the input, which bound the time that one document can take.
const (
	maxItems    = 1000
	maxChoices  = 100_000
	maxSessions = 1000
)

func computePaired(document []byte) (any, error) {
	var items []string
	var choices []Choice
	err := strict.Read(document, func(d *strict.Decoder) error {
		return d.Object([]string{"items", "choices"}, func(name string) error {
			switch name {
			case "kind":
				return d.Skip()
			case "items":
				return d.Texts(&items)
			case "choices":
				return strict.List(d, &choices, func(c *Choice) error { return readChoice(d, c) })
			}
			return d.Unknown()
		})
	})
	if err != nil {
		return nil, err
	}
	known, err := checkItems(items)
	if err != nil {
		return nil, err
	}
	if len(choices) > maxChoices {
		return nil, strict.At("choices", "must have at most %d entries", maxChoices)
	}
	for i, c := range choices {
		if err := checkChoice(i, known, c); err != nil {
			return nil, err
		}
	}
	return Paired(items, choices), nil
}

func readChoice(d *strict.Decoder, c *Choice) error {
	return d.Object([]string{"of", "chosen"}, func(name string) error {
		switch name {
		case "of":
			var of []string
			if err := d.Texts(&of); err != nil {
				return err
			}
			if len(of) != 2 {
				return d.Failed("must be the two items offered")
			}
			c.Of = [2]string(of)
			return nil
		case "chosen":
			return d.Text(&c.Chosen)
		}
		return d.Unknown()
	})
}

func checkChoice(i int, known map[string]bool, c Choice) error {
	for k, of := range c.Of {
		if !known[of] {
			return strict.At(fmt.Sprintf("choices[%d].of[%d]", i, k), "%q is not one of items", of)
		}
	}
	switch {
	case c.Of[0] == c.Of[1]:
		return strict.At(fmt.Sprintf("choices[%d].of[1]", i), "must differ from the first")
	case c.Chosen != "" && c.Chosen != c.Of[0] && c.Chosen != c.Of[1]:
		return strict.At(fmt.Sprintf("choices[%d].chosen", i), "%q is not one of the two items or empty", c.Chosen)
	}
	return nil
}

// checkItems returns the items as a set.
func checkItems(items []string) (known map[string]bool, err error) {
	if len(items) > maxItems {
		return nil, strict.At("items", "must have at most %d entries", maxItems)
	}
	known = make(map[string]bool, len(items))
	for i, item := range items {
		at := fmt.Sprintf("items[%d]", i)
		if strings.TrimSpace(item) == "" {
			return nil, strict.At(at, "must not be empty")
		}
		if known[item] {
			return nil, strict.At(at, "%q appears twice", item)
		}
		known[item] = true
	}
	return known, nil
}

func computeMultiple(document []byte) (any, error) {
	var items []string
	var sessions [][]string
	err := strict.Read(document, func(d *strict.Decoder) error {
		return d.Object([]string{"items", "sessions"}, func(name string) error {
			switch name {
			case "kind":
				return d.Skip()
			case "items":
				return d.Texts(&items)
			case "sessions":
				return strict.List(d, &sessions, d.Texts)
			}
			return d.Unknown()
		})
	})
	if err != nil {
		return nil, err
	}
	known, err := checkItems(items)
	if err != nil {
		return nil, err
	}
	if len(sessions) > maxSessions {
		return nil, strict.At("sessions", "must have at most %d entries", maxSessions)
	}
	for i, picks := range sessions {
		if err := checkPicks(i, known, picks); err != nil {
			return nil, err
		}
	}
	return Multiple(items, sessions), nil
}

func checkPicks(session int, known map[string]bool, picks []string) error {
	chosen := make(map[string]bool, len(picks))
	for i, pick := range picks {
		failed := func(format string, args ...any) error {
			return strict.At(fmt.Sprintf("sessions[%d][%d]", session, i), format, args...)
		}
		switch {
		case i >= len(known):
			return failed("nothing is left to choose from")
		case i > 0 && picks[i-1] == "":
			return failed("nothing can follow a trial without a choice, which ends the session")
		case pick == "":
		case !known[pick]:
			return failed("%q is not one of items", pick)
		case chosen[pick]:
			return failed("%q was already chosen in this session", pick)
		}
		chosen[pick] = true
	}
	return nil
}

func computeFree(document []byte) (any, error) {
	var observed exact.Rat
	var engaged []Engaged
	err := strict.Read(document, func(d *strict.Decoder) error {
		return d.Object([]string{"observed_s", "engaged_s"}, func(name string) error {
			switch name {
			case "kind":
				return d.Skip()
			case "observed_s":
				return d.Number(&observed)
			case "engaged_s":
				// An object with arbitrary names, in document order.
				return d.ObjectOrNull(nil, func(item string) error {
					e := Engaged{Item: item}
					err := d.Number(&e.Seconds)
					engaged = append(engaged, e)
					return err
				})
			}
			return d.Unknown()
		})
	})
	if err != nil {
		return nil, err
	}
	if observed.Sign() < 0 {
		return nil, strict.At("observed_s", "must not be negative")
	}
	if len(engaged) > maxItems {
		return nil, strict.At("engaged_s", "must have at most %d entries", maxItems)
	}
	for _, e := range engaged {
		if e.Seconds.Sign() < 0 || observed.Less(e.Seconds) {
			return nil, strict.At("engaged_s."+e.Item, "must be from 0 to observed_s")
		}
	}
	return Free(observed, engaged), nil
}
