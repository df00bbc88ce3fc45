package verification

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"newel/internal/compute"
	"newel/internal/compute/answer"
)

// mark says where a value was seen.
type mark string

const (
	published mark = "published, seen in the source itself"
	secondary mark = "seen in secondary material"
	library   mark = "reference library"
	computed  mark = "computed independently of Newel"
	practice  mark = "common practice"
	memory    mark = "from memory"
)

// group is a table: inputs of one computation, and what one source states.
type group struct {
	title string
	about string // formula or convention, if the reader needs it
	kind  string
	// columns names the claims if their paths would not explain them, separated
	// by |.
	columns string
	source  string
	mark    mark
	rows    []row
}

// row is one input. says lists what the source states, as path=value: a decimal
// (Newel's value must round to every digit of it), a fraction, a power such as
// 2^10, true, false, null or a word.
type row struct {
	what string // as the document shows the input
	in   string
	says string
	// within allows more than rounding errors if the source itself is less
	// precise.
	within float64
}

// kindOf returns a computation of newel compute, or the one that exists only here.
func kindOf(name string) (answer answer.Computation, known bool) {
	if name == "inside" {
		return inside, true
	}
	kind, known := compute.Find(name)
	return kind.Answer, known
}

func groups() []group {
	var all []group
	for _, some := range [][]group{
		binomialGroups, runGroups, windowGroups, luckGroups, effectGroups, trendGroups,
		agreementGroups, preferenceGroups, samplingGroups,
	} {
		all = append(all, some...)
	}
	return all
}

// answer computes a row and returns the decoded JSON answer.
func (g *group) answer(r row) (any, error) {
	answer, known := kindOf(g.kind)
	if !known {
		return nil, fmt.Errorf("there is no computation %q", g.kind)
	}
	result, err := answer([]byte(r.in))
	if err != nil {
		return nil, err
	}
	b, err := json.Marshal(result)
	if err != nil {
		return nil, err
	}
	var out any
	return out, json.Unmarshal(b, &out)
}

// claim is one thing that a source states.
type claim struct{ path, want string }

func (r row) claims() []claim {
	var out []claim
	for part := range strings.FieldsSeq(r.says) {
		path, want, _ := strings.Cut(part, "=")
		out = append(out, claim{path, want})
	}
	return out
}

var errNoField = errors.New("there is no such field in the answer")

// at returns the value at a path of names and indices separated by dots.
func at(answer any, path string) (any, error) {
	for step := range strings.SplitSeq(path, ".") {
		switch v := answer.(type) {
		case map[string]any:
			next, there := v[step]
			if !there {
				return nil, fmt.Errorf("%s: %w", path, errNoField)
			}
			answer = next
		case []any:
			i, err := strconv.Atoi(step)
			if err != nil || i >= len(v) {
				return nil, fmt.Errorf("%s: %w", path, errNoField)
			}
			answer = v[i]
		default:
			return nil, fmt.Errorf("%s: %w", path, errNoField)
		}
	}
	return answer, nil
}

// agrees reports whether a value matches what a source states.
func agrees(got any, want string, within float64) bool {
	switch want {
	case "null":
		return got == nil
	case "true", "false":
		return got == (want == "true")
	}
	number, isNumber := got.(float64)
	value, tolerance, ok := valueOf(want)
	if !ok {
		return got == want
	}
	return isNumber && math.Abs(number-value) <= max(tolerance, within)
}

// valueOf parses a decimal, a fraction, or a decimal with an exponent, and
// returns by how much a value that rounds to it can differ.
func valueOf(want string) (value, tolerance float64, ok bool) {
	if strings.Contains(want, "/") {
		r, ok := new(big.Rat).SetString(want)
		if !ok {
			return 0, 0, false
		}
		value, _ = r.Float64()
		return value, 1e-12 * max(1, math.Abs(value)), true
	}
	value, err := strconv.ParseFloat(want, 64)
	if err != nil {
		return 0, 0, false
	}
	mantissa, exponent, _ := strings.Cut(want, "e")
	_, decimals, point := strings.Cut(mantissa, ".")
	power, _ := strconv.Atoi(exponent)
	tolerance = 0.5001*math.Pow(10, float64(power-len(decimals))) + 1e-11*math.Abs(value)
	if !point && exponent == "" {
		tolerance = 1e-9 * max(1, math.Abs(value)) // a whole number is meant exactly
	}
	return value, tolerance, true
}

// TestOutside checks every table against Newel.
func TestOutside(t *testing.T) {
	t.Parallel()
	n := 0
	for _, g := range groups() {
		for _, r := range g.rows {
			answer, err := g.answer(r)
			if err != nil {
				t.Errorf("%s: %s: %v", g.title, r.what, err)
				continue
			}
			for _, c := range r.claims() {
				n++
				got, err := at(answer, c.path)
				if err != nil {
					t.Errorf("%s: %s: %v", g.title, r.what, err)
				} else if !agrees(got, c.want, r.within) {
					t.Errorf("%s: %s: %s is %v, the source says %s", g.title, r.what, c.path, got, c.want)
				}
			}
		}
	}
	if n < 1000 {
		t.Errorf("only %d claims are checked", n)
	}
}

// TestAgrees tests the comparison itself.
func TestAgrees(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		got    any
		want   string
		within float64
		same   bool
	}{
		{0.714285714, "0.714286", 0, true},
		{0.7142, "0.714286", 0, false},
		{5.0 / 7, "5/7", 0, true},
		{0.714286, "5/7", 0, false},
		{nil, "null", 0, true},
		{0.0, "null", 0, false},
		{nil, "0", 0, false},
		{2.792149e-9, "2.792149e-09", 0, true},
		{2.7922e-9, "2.792149e-09", 0, false},
		{true, "true", 0, true},
		{false, "true", 0, false},
		{"A", "A", 0, true},
		{"B", "A", 0, false},
		{3.0, "3", 0, true},
		{3.4, "3", 0, false},
		{0.5973, "0.5974", 1e-4, true},
	} {
		if agrees(c.got, c.want, c.within) != c.same {
			t.Errorf("%v, %s: not %v", c.got, c.want, c.same)
		}
	}
	if _, err := at(map[string]any{"a": []any{1.0}}, "a.1"); !errors.Is(err, errNoField) {
		t.Error(err)
	}
}
