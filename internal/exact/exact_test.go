package exact

import (
	"encoding/json"
	"errors"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

func TestParseDecimal(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		in, out string
		err     error
	}{
		{"12", "12", nil},
		{"66.7", "66.7", nil},
		{"66.700000", "66.7", nil},
		{"0.000001", "0.000001", nil},
		{"007", "7", nil},
		{"123456789012345678901234567890.5", "123456789012345678901234567890.5", nil},
		{"1.0000000", "", ErrPlaces},
		{".5", "", ErrSyntax},
		{"5.", "", ErrSyntax},
		{"", "", ErrSyntax},
		{"-1", "", ErrSyntax},
		{"1e3", "", ErrSyntax},
		{"1.2.3", "", ErrSyntax},
		{"٣", "", ErrSyntax},
	} {
		got, err := ParseDecimal(c.in, 6)
		if !errors.Is(err, c.err) {
			t.Errorf("ParseDecimal(%q): error %v, want %v", c.in, err, c.err)
			continue
		}
		if err == nil && got.String() != c.out {
			t.Errorf("ParseDecimal(%q) = %s, want %s", c.in, got, c.out)
		}
	}
}

func TestParseJSON(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		in, out string
		err     error
	}{
		{"0", "0", nil},
		{"-1.50", "-1.5", nil},
		{"1.2e1", "12", nil},
		{"12E-1", "1.2", nil},
		{"1e+2", "100", nil},
		{"0e99999999", "0", nil},
		{"1e99999999", "", ErrSize},
		{"1e39", "1000000000000000000000000000000000000000", nil},
		{"1e40", "", ErrSize},
		{"5.551115123125783e-17", "0.00000000000000005551115123125783", nil},
		{"1e-39", "0.000000000000000000000000000000000000001", nil},
		{"1e-40", "", ErrSize},
		{"1.2345678901234567e-380", "", ErrSize},
		{"1234567890123456789012345678901234567890", "1234567890123456789012345678901234567890", nil},
		{"12345678901234567890.123456789012345678901", "", ErrSize},
		{"01", "", ErrSyntax},
		{"1e", "", ErrSyntax},
		{"1e+-2", "", ErrSyntax},
		{"NaN", "", ErrSyntax},
	} {
		got, err := ParseJSON(c.in)
		if !errors.Is(err, c.err) {
			t.Errorf("ParseJSON(%q): error %v, want %v", c.in, err, c.err)
			continue
		}
		if err == nil && got.String() != c.out {
			t.Errorf("ParseJSON(%q) = %s, want %s", c.in, got, c.out)
		}
	}
}

// rats generates both small and wide numbers so that both representations are
// tested.
func rats() *rapid.Generator[Rat] {
	return rapid.Custom(func(t *rapid.T) Rat {
		if rapid.Bool().Draw(t, "wide") {
			n := rapid.Int64().Draw(t, "n")
			d := rapid.Int64Range(1, math.MaxInt64).Draw(t, "d")
			return Frac(n, d)
		}
		return Frac(rapid.Int64Range(-200, 200).Draw(t, "n"), rapid.Int64Range(1, 60).Draw(t, "d"))
	})
}

// TestAgreesWithBig compares the fast path with math/big.
func TestAgreesWithBig(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := rats().Draw(t, "a"), rats().Draw(t, "b")
		same := func(name string, got Rat, want *big.Rat) {
			if got.Big().Cmp(want) != 0 {
				t.Fatalf("%s of %s and %s: got %s, want %s", name, a, b, got, want)
			}
			if !got.Equal(fromBig(want)) || got.Sign() != want.Sign() {
				t.Fatalf("%s: Equal or Sign disagree for %s", name, got)
			}
			if f, _ := want.Float64(); got.Float64() != f {
				t.Fatalf("%s: Float64 %v, want %v", name, got.Float64(), f)
			}
		}
		same("sum", a.Add(b), new(big.Rat).Add(a.Big(), b.Big()))
		same("difference", a.Sub(b), new(big.Rat).Sub(a.Big(), b.Big()))
		same("product", a.Mul(b), new(big.Rat).Mul(a.Big(), b.Big()))
		same("size", a.Abs(), new(big.Rat).Abs(a.Big()))
		if b.Sign() != 0 {
			same("quotient", a.Quo(b), new(big.Rat).Quo(a.Big(), b.Big()))
		}
		if got, want := a.Cmp(b), a.Big().Cmp(b.Big()); got != want {
			t.Fatalf("Cmp(%s, %s) = %d, want %d", a, b, got, want)
		}
		if a.Less(b) != (a.Cmp(b) < 0) {
			t.Fatal("Less disagrees with Cmp")
		}
		if a.IsInt() != a.Big().IsInt() {
			t.Fatalf("IsInt(%s) = %v", a, a.IsInt())
		}
	})
}

func TestSmallestInt(t *testing.T) {
	t.Parallel()
	low := Int(math.MinInt64)
	if got := low.Add(Int(1)).Sub(Int(1)); !got.Equal(low) {
		t.Errorf("got %s, want %s", got, low)
	}
	if got := Frac(math.MinInt64, math.MinInt64); !got.Equal(Int(1)) {
		t.Errorf("got %s, want 1", got)
	}
	if got := low.Neg().Neg(); !got.Equal(low) {
		t.Errorf("got %s, want %s", got, low)
	}
}

func TestZeroValue(t *testing.T) {
	t.Parallel()
	var z Rat
	if !z.Equal(Int(0)) || z.String() != "0" || !z.Add(Int(3)).Equal(Int(3)) || z.Float64() != 0 {
		t.Error("the zero value is not 0")
	}
}

func TestJSONRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64().Draw(t, "n")
		e := rapid.IntRange(-30, 21).Draw(t, "e") // an Int64 has 19 digits, and 40 are allowed
		want := Int(n).Mul(powerOfTen(e))
		b, err := json.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		var got Rat
		if err := json.Unmarshal(b, &got); err != nil {
			t.Fatal(err)
		}
		if !got.Equal(want) {
			t.Fatalf("%s was decoded as %s", want, got)
		}
	})
	if _, err := json.Marshal(Frac(1, 3)); err == nil {
		t.Error("a third was written as a decimal")
	}
	if got := Frac(200, 3).String(); got != "200/3" {
		t.Errorf("got %s, want 200/3", got)
	}
}

func BenchmarkAddCmp(b *testing.B) {
	b.ReportAllocs()
	x, y := Frac(200, 3), Frac(500, 7)
	for b.Loop() {
		if x.Add(y).Cmp(Int(100)) < 0 {
			b.Fatal("wrong")
		}
	}
}

// TestSum compares the tree of sums with adding one after the other.
func TestSum(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rats(), 0, 40).Draw(t, "values")
		want := Rat{}
		for _, v := range values {
			want = want.Add(v)
		}
		if got := Sum(values); !got.Equal(want) {
			t.Fatalf("%s, want %s", got, want)
		}
	})
}

// TestWhole checks that whole numbers over their denominator are the values, and
// that no smaller denominator would do.
func TestWhole(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rats(), 0, 6).Draw(t, "values")
		whole, den := Whole(values)
		common := new(big.Int).Set(den)
		for i, v := range values {
			if !Quotient(whole[i], den).Equal(v) {
				t.Fatalf("%s ÷ %s is not %s", whole[i], den, v)
			}
			common.GCD(nil, nil, common, new(big.Int).Abs(whole[i]))
		}
		if common.Cmp(big.NewInt(1)) != 0 {
			t.Fatalf("the denominator %s could be smaller by %s", den, common)
		}
	})
}
