package compute

import (
	"errors"
	"strings"
	"time"

	"newel/internal/criterion"
	"newel/internal/strict"
)

// evaluate reads one case as JSON and returns its criterion.Reading.
func evaluate(document []byte) (any, error) {
	c, err := decodeCase(document)
	if err != nil {
		return nil, err
	}
	reading, err := criterion.Evaluate(c)
	if err != nil {
		return nil, inputError(err)
	}
	return reading, nil
}

// inputError turns a *criterion.InputError into a *strict.Error.
func inputError(err error) error {
	var wrong *criterion.InputError
	if errors.As(err, &wrong) {
		return &strict.Error{Path: wrong.Path, Err: wrong.Err}
	}
	return err
}

// decoder decodes cases and questions.
type decoder struct{ *strict.Decoder }

// decodeCase decodes one case. An error it returns is a *strict.Error that names the field.
func decodeCase(document []byte) (c criterion.Case, err error) {
	err = strict.Read(document, func(d *strict.Decoder) error { return decoder{d}.caseObject(&c) })
	if err != nil {
		return criterion.Case{}, err
	}
	return c, nil
}

func (d decoder) moment(into *time.Time) error {
	var s string
	if err := d.Text(&s); err != nil {
		return err
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil || !strictMoment(s) {
		return d.Failed("%q is not a moment such as 2026-03-10T09:00:00+08:00", s)
	}
	*into = t
	return nil
}

// strictMoment rejects what time.Parse accepts beyond RFC 3339: a one-digit
// hour, a comma before the fraction, an offset of 24 hours or 60 minutes.
func strictMoment(s string) bool {
	const seconds = len("2026-03-10T09:00:00")
	if len(s) <= seconds || s[len("2026-03-10T09")] != ':' || s[seconds] == ',' {
		return false
	}
	if strings.HasSuffix(s, "Z") {
		return true
	}
	offset := s[len(s)-len("08:00"):]
	return offset[:2] < "24" && offset[3:] < "60"
}

func (d decoder) date(into *criterion.Date) error {
	var s string
	if err := d.Text(&s); err != nil {
		return err
	}
	date, err := criterion.ParseDate(s)
	if err != nil {
		return d.Wrap(err)
	}
	*into = date
	return nil
}
