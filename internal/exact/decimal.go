package exact

import (
	"errors"
	"fmt"
	"math/big"
	"strconv"
	"strings"
)

// Errors of ParseDecimal and ParseJSON.
var (
	ErrSyntax = errors.New("not a number such as 12 or 66.7")
	ErrPlaces = errors.New("too many decimal places")
	ErrSize   = fmt.Errorf("too long a number: it may have at most %d digits, written out without an exponent", MaxDigits)
)

// MaxDigits is how many digits a parsed number may have before and after its
// decimal point together, written out without an exponent: 1e999999999 is short
// to write but enormous to compute. Numbers within it have a common denominator
// of at most 10^MaxDigits, so sums of them stay short however many there are.
// Any float from 1e-23 to 1e40, printed in full, fits.
const MaxDigits = 40

// ParseDecimal parses digits with an optional decimal point that has digits on
// both sides: `12` and `66.7`, but not `.5`, `5.`, `1e3` or `-1`. More than
// maxPlaces digits after the point are an error, even if they are zeros.
func ParseDecimal(s string, maxPlaces int) (Rat, error) {
	whole, part, point := strings.Cut(s, ".")
	if !digits(whole) || point && !digits(part) {
		return Rat{}, ErrSyntax
	}
	if len(part) > maxPlaces {
		return Rat{}, fmt.Errorf("%w (at most %d)", ErrPlaces, maxPlaces)
	}
	if len(whole)+len(part) > MaxDigits {
		return Rat{}, ErrSize
	}
	return fromDigits(whole, part), nil
}

func fromDigits(whole, part string) Rat {
	if len(whole)+len(part) <= 18 {
		n, _ := strconv.ParseInt(whole+part, 10, 64)
		d := int64(1)
		for range part {
			d *= 10
		}
		return Frac(n, d)
	}
	r, _ := new(big.Rat).SetString(whole + "." + part + "0")
	return fromBig(r)
}

func digits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

// ParseJSON parses a number in JSON syntax (with optional sign and exponent)
// exactly.
func ParseJSON(s string) (Rat, error) {
	body, negative := strings.CutPrefix(s, "-")
	mantissa, exponent := body, ""
	if i := strings.IndexAny(body, "eE"); i >= 0 {
		mantissa, exponent = body[:i], body[i+1:]
		if !digits(strings.TrimLeft(exponent, "+-")) || len(exponent)-len(strings.TrimLeft(exponent, "+-")) > 1 {
			return Rat{}, ErrSyntax
		}
	}
	whole, part, point := strings.Cut(mantissa, ".")
	if !digits(whole) || point && !digits(part) || len(whole) > 1 && whole[0] == '0' {
		return Rat{}, ErrSyntax
	}
	if len(whole)+len(part) > MaxDigits {
		return Rat{}, ErrSize
	}
	r := fromDigits(whole, part)
	if exponent != "" && r.Sign() != 0 {
		e, err := strconv.Atoi(exponent)
		if err != nil || !fits(whole, part, e) {
			return Rat{}, ErrSize
		}
		r = r.Mul(powerOfTen(e))
	}
	if negative {
		r = r.Neg()
	}
	return r, nil
}

// fits reports whether whole.part × 10^e has at most MaxDigits digits when it is
// written out.
func fits(whole, part string, e int) bool {
	if e > MaxDigits || e < -MaxDigits {
		return false
	}
	before, after := len(whole)+e, len(part)-e
	return max(before, 1)+max(after, 0) <= MaxDigits
}

func powerOfTen(e int) Rat {
	p := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(e, -e))), nil)
	r := new(big.Rat).SetInt(p)
	if e < 0 {
		r.Inv(r)
	}
	return fromBig(r)
}

// String returns a as a decimal without trailing zeros (`66.7`, `12`), or as a
// fraction in lowest terms (`200/3`) if no decimal is exact.
func (a Rat) String() string {
	if n, ok := a.Int64(); ok {
		return strconv.FormatInt(n, 10)
	}
	r := a.Big()
	places, ok := places(r.Denom())
	if !ok {
		return r.RatString()
	}
	return r.FloatString(places)
}

// places returns how many decimal places 1/den needs. ok is false if 1/den has
// no finite decimal expansion.
func places(den *big.Int) (n int, ok bool) {
	twos, rest := strip(den, 2)
	fives, rest := strip(rest, 5)
	return max(twos, fives), rest.IsInt64() && rest.Int64() == 1
}

func strip(n *big.Int, by int64) (times int, rest *big.Int) {
	divisor := big.NewInt(by)
	rest = new(big.Int).Set(n)
	quotient, remainder := new(big.Int), new(big.Int)
	for {
		quotient.QuoRem(rest, divisor, remainder)
		if remainder.Sign() != 0 {
			return times, rest
		}
		rest.Set(quotient)
		times++
	}
}

// MarshalJSON returns a as a JSON number. It returns an error, rather than
// rounding, if a has no exact decimal form.
func (a Rat) MarshalJSON() ([]byte, error) {
	s := a.String()
	if strings.Contains(s, "/") {
		return nil, fmt.Errorf("exact: %s has no exact decimal", s)
	}
	return []byte(s), nil
}

// UnmarshalJSON parses a JSON number exactly.
func (a *Rat) UnmarshalJSON(b []byte) error {
	r, err := ParseJSON(string(b))
	if err != nil {
		return fmt.Errorf("exact: %q: %w", b, err)
	}
	*a = r
	return nil
}
