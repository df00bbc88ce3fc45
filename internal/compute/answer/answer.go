// Package answer reads the documents of newel compute and writes their answers.
package answer

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"newel/internal/strict"
)

// Computation answers one document. The answer must be encodable as JSON. An
// error about the input is a *strict.Error.
type Computation func(document []byte) (answer any, err error)

// LinesError reports that some lines could not be answered. Their errors are in
// the output, in place of their answers.
type LinesError struct {
	Failed int // lines
}

// Error returns how many lines failed.
func (e *LinesError) Error() string {
	if e.Failed == 1 {
		return "1 line could not be answered; its error is in the output"
	}
	return fmt.Sprintf("%d lines could not be answered; their errors are in the output", e.Failed)
}

// errRange reports an answer that contains an infinity.
var errRange = errors.New("the numbers are too large or too far apart to compute an answer")

// encode answers a document and returns the JSON with a trailing newline.
func encode(document []byte, answer Computation) ([]byte, error) {
	result, err := answer(document)
	if err != nil {
		return nil, err
	}
	out, err := marshal(result)
	var beyond *json.UnsupportedValueError
	if errors.As(err, &beyond) {
		return nil, &strict.Error{Err: errRange}
	}
	return out, err
}

func marshal(v any) ([]byte, error) {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, fmt.Errorf("writing the answer: %w", err)
	}
	return out.Bytes(), nil
}

// One reads one document and writes the answer. If the input cannot be used, it
// returns a *strict.Error and writes nothing.
func One(r io.Reader, w io.Writer, answer Computation) error {
	document, err := io.ReadAll(r)
	if err != nil {
		return fmt.Errorf("reading the input: %w", err)
	}
	out, err := encode(document, answer)
	if err != nil {
		return err
	}
	return write(w, out)
}

func write(w io.Writer, out []byte) error {
	if _, err := w.Write(out); err != nil {
		return fmt.Errorf("writing the answer: %w", err)
	}
	return nil
}

// Lines reads one document per line and writes one answer per line, in order.
// For a document that cannot be used it writes {"error": "..."} instead and
// returns a *LinesError at the end.
func Lines(r io.Reader, w io.Writer, answer Computation) error {
	lines, out := bufio.NewReader(r), bufio.NewWriter(w)
	failed := 0
	for {
		// Not a Scanner: lines may be of any length.
		line, readErr := lines.ReadBytes('\n')
		if readErr != nil && !errors.Is(readErr, io.EOF) {
			return errors.Join(fmt.Errorf("reading the input: %w", readErr), out.Flush())
		}
		if len(line) > 0 {
			result, err := encode(bytes.TrimSuffix(line, []byte("\n")), answer)
			if err != nil {
				failed++
				if result, err = marshal(lineError{err.Error()}); err != nil {
					return err
				}
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
		return fmt.Errorf("writing the answers: %w", err)
	}
	if failed > 0 {
		return &LinesError{Failed: failed}
	}
	return nil
}

type lineError struct {
	Error string `json:"error"`
}
