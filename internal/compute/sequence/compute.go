package sequence

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"newel/internal/exact"
	"newel/internal/strict"
)

// Order is the JSON form of an answer.
type Order struct {
	Trials []Trial `json:"trials"`
}

// Compute reads a Question as JSON and returns its Order. An error about the
// input is a *strict.Error.
func Compute(document []byte) (any, error) {
	q, err := Decode(document)
	if err != nil {
		return nil, err
	}
	trials, err := Make(q)
	if err != nil {
		return nil, err
	}
	return Order{trials}, nil
}

// Decode reads a Question. The seed is a whole number of up to 64 bits or a
// string of its digits, because numbers in a browser hold only 53 bits. An
// error it returns is a *strict.Error.
func Decode(document []byte) (q Question, err error) {
	shared := false
	err = strict.Read(document, func(d *strict.Decoder) error {
		return d.Object([]string{"targets", "trials", "rule", "seed"}, func(name string) error {
			switch name {
			case "targets":
				return d.Texts(&q.Targets)
			case "trials":
				return d.Integer(&q.Trials)
			case "rule":
				return d.Text((*string)(&q.Rule))
			case "block":
				return d.IntegerFrom(1, &q.Block)
			case "known":
				return d.Texts(&q.Known)
			case "known_share":
				shared = true
				return readShare(d, &q.KnownShare)
			case "positions":
				return d.IntegerFrom(2, &q.Positions)
			case "max_same":
				return d.IntegerFrom(1, &q.MaxSame)
			case "seed":
				return readSeed(d, &q.Seed)
			}
			return d.Unknown()
		})
	})
	if err == nil && len(q.Known) > 0 && !shared {
		err = failed("known_share", "set the percentage of trials with known targets")
	}
	return q, err
}

func readShare(d *strict.Decoder, into *int) error {
	var percent exact.Rat
	if err := d.Number(&percent); err != nil {
		return err
	}
	hundredths, whole := percent.Mul(exact.Int(100)).Int64()
	if !whole {
		return d.Failed("must have at most two decimal places")
	}
	if hundredths < 0 || hundredths > wholeShare {
		return d.Failed("must be from 0 to 100 percent")
	}
	*into = int(hundredths)
	return nil
}

func readSeed(d *strict.Decoder, into *uint64) error {
	digits, err := d.NumberOrText()
	if err != nil {
		return err
	}
	seed, err := strconv.ParseUint(digits, 10, 64)
	if err != nil || strings.HasPrefix(digits, "+") {
		return d.Failed("must be a whole number from 0 to 2^64 − 1, or a string of its digits")
	}
	*into = seed
	return nil
}

func failed(path, format string, args ...any) error { return strict.At(path, format, args...) }

// check validates a question before anything is drawn.
func (q *Question) check() error {
	switch {
	case q.Trials < 1 || q.Trials > maxTrials:
		return failed("trials", "must be from 1 to %d", maxTrials)
	case q.KnownShare < 0 || q.KnownShare > wholeShare:
		return failed("known_share", "must be from 0 to 100 percent")
	case q.Positions != 0 && (q.Positions < 2 || q.Positions > maxPositions):
		return failed("positions", "must be from 2 to %d", maxPositions)
	case q.MaxSame < 1:
		return failed("max_same", "must be 1 or more")
	}
	if err := q.checkNames(); err != nil {
		return err
	}
	return q.checkRule()
}

func (q *Question) checkNames() error {
	if len(q.Targets) == 0 {
		return failed("targets", "must name one or more")
	}
	var seen []string
	for _, list := range []struct {
		field string
		names []string
	}{{"targets", q.Targets}, {"known", q.Known}} {
		if len(list.names) > maxTargets {
			return failed(list.field, "must have at most %d entries", maxTargets)
		}
		for i, name := range list.names {
			at := fmt.Sprintf("%s[%d]", list.field, i)
			if strings.TrimSpace(name) == "" {
				return failed(at, "must not be empty")
			}
			if slices.Contains(seen, name) {
				return failed(at, "%q appears twice", name)
			}
			seen = append(seen, name)
		}
	}
	return nil
}

func (q *Question) checkRule() error {
	switch {
	case q.Rule != Massed && q.Rule != Blocked && q.Rule != Rotation:
		return failed("rule", "%q is not one of massed, blocked and rotation", string(q.Rule))
	case q.Rule == Massed && len(q.Targets) != 1:
		return failed("targets", "massed trials have one target, not %d", len(q.Targets))
	case q.Rule == Blocked && q.Block < 1:
		return failed("block", "set how many trials of a target form a block")
	case q.Rule != Blocked && q.Block != 0:
		return failed("block", "only blocked trials have a block")
	case q.Rule != Rotation && len(q.Known) > 0:
		return failed("known", "known targets are interspersed only in a rotation")
	case len(q.Known) == 0 && q.KnownShare > 0:
		return failed("known", "name known targets or omit known_share")
	}
	return nil
}
