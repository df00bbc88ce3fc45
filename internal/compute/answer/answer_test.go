package answer

import (
	"errors"
	"io"
	"math"
	"strings"
	"testing"
	"testing/iotest"

	"newel/internal/strict"
)

var errBroken = errors.New("broken pipe")

// broken cannot be written to.
type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errBroken }

// double answers "n" with nn, refuses "no" and answers "far" with an infinity.
func double(document []byte) (any, error) {
	switch s := string(document); s {
	case "no":
		return nil, strict.At("a", "must not be no")
	case "far":
		return math.Inf(1), nil
	case "never":
		return func() {}, nil
	default:
		return s + s, nil
	}
}

func TestOne(t *testing.T) {
	t.Parallel()
	var out strings.Builder
	if err := One(strings.NewReader("<1>"), &out, double); err != nil || out.String() != "\"<1><1>\"\n" {
		t.Errorf("%q %v", out.String(), err)
	}
	for document, want := range map[string]string{"no": "must not be no", "far": errRange.Error()} {
		out.Reset()
		err := One(strings.NewReader(document), &out, double)
		var wrong *strict.Error
		if !errors.As(err, &wrong) || !strings.Contains(err.Error(), want) || out.Len() > 0 {
			t.Errorf("%s: %q %v", document, out.String(), err)
		}
	}
	out.Reset()
	err := One(strings.NewReader("never"), &out, double)
	if wrong := (*strict.Error)(nil); err == nil || errors.As(err, &wrong) || out.Len() > 0 {
		t.Errorf("an answer that cannot be written is blamed on the input: %v", err)
	}
	if err := One(iotest.ErrReader(errBroken), &out, double); !errors.Is(err, errBroken) {
		t.Errorf("unreadable input: %v", err)
	}
	if err := One(strings.NewReader("1"), broken{}, double); !errors.Is(err, errBroken) {
		t.Errorf("unwritable output: %v", err)
	}
}

func TestLines(t *testing.T) {
	t.Parallel()
	const refused = `{"error":"a: must not be no"}` + "\n"
	for _, c := range []struct {
		name, in, out string
		failed        int
		message       string
	}{
		{"nothing", "", "", 0, ""},
		{"with a last newline", "1\n2\n", "\"11\"\n\"22\"\n", 0, ""},
		{"without one", "1\n2", "\"11\"\n\"22\"\n", 0, ""},
		{"an empty line is a document", "1\n\n2\n", "\"11\"\n\"\"\n\"22\"\n", 0, ""},
		{"one refused", "1\nno\n2\n", "\"11\"\n" + refused + "\"22\"\n", 1, "1 line could not be answered"},
		{"two refused", "no\nno", refused + refused, 2, "2 lines could not be answered"},
	} {
		var out strings.Builder
		err := Lines(strings.NewReader(c.in), &out, double)
		if out.String() != c.out {
			t.Errorf("%s: %q, want %q", c.name, out.String(), c.out)
		}
		var lines *LinesError
		switch {
		case c.failed == 0:
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
		case !errors.As(err, &lines) || lines.Failed != c.failed || !strings.HasPrefix(err.Error(), c.message):
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// TestLinesBroken checks that what was answered before the input broke off is
// written, and that output that cannot be written is reported.
func TestLinesBroken(t *testing.T) {
	t.Parallel()
	var out strings.Builder
	in := io.MultiReader(strings.NewReader("1\n2"), iotest.ErrReader(errBroken))
	if err := Lines(in, &out, double); !errors.Is(err, errBroken) || out.String() != "\"11\"\n" {
		t.Errorf("%q %v", out.String(), err)
	}
	if err := Lines(strings.NewReader("1\n"), broken{}, double); !errors.Is(err, errBroken) {
		t.Errorf("at the end: %v", err)
	}
	long := strings.Repeat("1", 5000) + "\n"
	if err := Lines(strings.NewReader(long+"2\n"), broken{}, double); !errors.Is(err, errBroken) {
		t.Errorf("before the end: %v", err)
	}
}
