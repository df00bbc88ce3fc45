package criterion

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// The commands' exit statuses: nil is 0; an *InputError, input that cannot be
// used, is 2; a *LinesError, some lines of many, is 1; anything else (the reader
// or the writer failed) is 1.

// LinesError says that some lines could not be answered. Their errors stand in
// the output, in their places.
type LinesError struct {
	Failed int // lines
}

// Error says how many lines failed.
func (e *LinesError) Error() string {
	if e.Failed == 1 {
		return "1 line could not be answered; its error stands in the output"
	}
	return fmt.Sprintf("%d lines could not be answered; their errors stand in the output", e.Failed)
}

// ComputeEvaluate reads one case and writes its reading, as JSON. Input that
// cannot be used is an *InputError, for exit status 2; nothing is written then.
func ComputeEvaluate(r io.Reader, w io.Writer) error {
	return computeOne(r, w, evaluateBytes)
}

// ComputeEvaluateLines reads one case a line and writes one reading a line, in
// order. A case that cannot be used gives {"error": "..."} in its place, and a
// *LinesError at the end, for exit status 1.
func ComputeEvaluateLines(r io.Reader, w io.Writer) error {
	return computeLines(r, w, evaluateBytes)
}

// ComputeOdds reads one question about a criterion's odds and writes the
// answer, as JSON. Input that cannot be used is an *InputError, for exit status
// 2; nothing is written then.
func ComputeOdds(r io.Reader, w io.Writer) error {
	return computeOne(r, w, oddsBytes)
}

// ComputeOddsLines is ComputeOdds for one question a line, with the errors of
// ComputeEvaluateLines.
func ComputeOddsLines(r io.Reader, w io.Writer) error {
	return computeLines(r, w, oddsBytes)
}

func evaluateBytes(b []byte) (any, error) {
	c, err := DecodeCase(bytes.NewReader(b))
	if err != nil {
		return nil, err
	}
	return Evaluate(c)
}

func oddsBytes(b []byte) (any, error) {
	q, err := DecodeOdds(bytes.NewReader(b))
	if err != nil {
		return nil, err
	}
	return Odds(q)
}

func computeOne(r io.Reader, w io.Writer, answer func([]byte) (any, error)) error {
	b, err := io.ReadAll(r)
	if err != nil {
		return fmt.Errorf("reading the input: %w", err)
	}
	result, err := answer(b)
	if err != nil {
		return err
	}
	return write(w, result)
}

func computeLines(r io.Reader, w io.Writer, answer func([]byte) (any, error)) error {
	lines, out := bufio.NewReader(r), bufio.NewWriter(w)
	failed := 0
	for {
		// Not a Scanner: a line may be as long as it likes.
		line, readErr := lines.ReadBytes('\n')
		if readErr != nil && !errors.Is(readErr, io.EOF) {
			return errors.Join(fmt.Errorf("reading the input: %w", readErr), out.Flush())
		}
		if len(line) > 0 {
			result, err := answer(bytes.TrimSuffix(line, []byte("\n")))
			if err != nil {
				failed++
				result = lineError{err.Error()}
			}
			if err := write(out, result); err != nil {
				return err
			}
		}
		if readErr != nil {
			break
		}
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("writing the results: %w", err)
	}
	if failed > 0 {
		return &LinesError{Failed: failed}
	}
	return nil
}

type lineError struct {
	Error string `json:"error"`
}

func write(w io.Writer, result any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	if err := e.Encode(result); err != nil {
		return fmt.Errorf("writing the result: %w", err)
	}
	return nil
}
