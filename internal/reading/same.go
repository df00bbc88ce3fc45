package reading

import (
	"encoding/json"
	"math"
	"slices"

	"newel/internal/criterion"
	"newel/internal/newel"
)

// SameReading reports whether a stored reading is the one that was computed
// again. Numbers that are stated to a tolerance are compared to it, because
// their last digits differ between machines. Of a reading by another version of
// the evaluator, only what both versions compute alike is compared.
func SameReading(kept, again newel.Reading) bool {
	if kept.Evaluator == again.Evaluator {
		return kept.Status == again.Status && kept.IdleFrom == again.IdleFrom && same("", decoded(kept.Body), decoded(again.Body))
	}
	return kept.IdleFrom == again.IdleFrom && isMet(kept) == isMet(again) &&
		same("", alikeOf(decoded(kept.Body)), alikeOf(decoded(again.Body)))
}

func isMet(r newel.Reading) bool { return r.Status == string(criterion.StatusMet) }

func decoded(raw json.RawMessage) any {
	var v any
	if json.Unmarshal(raw, &v) != nil {
		return string(raw)
	}
	return v
}

// tolerance is how exact the evaluator's probabilities and intervals are.
const tolerance = 1e-6

// stated lists the fields of a reading that are exact only to the tolerance.
var stated = []string{"low", "high", "session", "probability"}

// same compares decoded JSON. field is the name of the field that holds it.
func same(field string, a, b any) bool {
	switch a := a.(type) {
	case map[string]any:
		b, ok := b.(map[string]any)
		if !ok || len(a) != len(b) {
			return false
		}
		for name, value := range a {
			other, has := b[name]
			if !has || !same(name, value, other) {
				return false
			}
		}
		return true
	case []any:
		b, ok := b.([]any)
		return ok && slices.EqualFunc(a, b, func(x, y any) bool { return same(field, x, y) })
	case float64:
		if b, ok := b.(float64); ok && slices.Contains(stated, field) {
			return math.Abs(a-b) <= tolerance
		}
	}
	return a == b
}

// changedFlags are those whose rules differ between versions 1 and 2 of the
// evaluator.
var changedFlags = append([]criterion.FlagKind{criterion.DiffersByPerson, criterion.DiffersByPlace}, gainFlags...)

// alikeFields are what versions 1 and 2 of the evaluator compute alike, of a
// reading and of a target's.
var alikeFields = []string{
	"met_by", "criterion", "run", "lacking", "sessions", "forecast", "idle_from", "target", "state", "counted",
}

// alikeOf returns the part of a reading that versions 1 and 2 of the evaluator
// compute alike.
func alikeOf(reading any) any {
	from, ok := reading.(map[string]any)
	if !ok {
		return reading
	}
	part := map[string]any{"flags": alikeFlags(from["flags"])}
	for _, field := range alikeFields {
		part[field] = from[field]
	}
	if estimate, is := from["estimate"].(map[string]any); is {
		part["estimate"] = map[string]any{
			"correct": estimate["correct"], "trials": estimate["trials"], "percent": estimate["percent"], "low": estimate["low"], "high": estimate["high"],
		}
	}
	if targets, is := from["targets"].([]any); is {
		alike := make([]any, len(targets))
		for i, t := range targets {
			alike[i] = alikeOf(t)
		}
		part["targets"] = alike
	}
	return part
}

// alikeFlags leaves out the flags whose rules have changed. A reading's flags
// are objects, a target's are kinds.
func alikeFlags(flags any) []any {
	list, _ := flags.([]any)
	return slices.DeleteFunc(slices.Clone(list), func(f any) bool {
		kind, _ := f.(string)
		if object, is := f.(map[string]any); is {
			kind, _ = object["kind"].(string)
		}
		return slices.Contains(changedFlags, criterion.FlagKind(kind))
	})
}
