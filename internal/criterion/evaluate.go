package criterion

import "newel/internal/measure"

// Evaluate returns the reading of a case, which may be built in Go or decoded.
// It does not change the case. An error it returns is an *InputError that names
// the invalid field.
func Evaluate(c Case) (Reading, error) {
	s, err := settle(&c)
	if err != nil {
		return Reading{}, err
	}
	e := evaluate(s)
	r := e.reading()
	r.Forecast = e.forecast()
	return r, nil
}

// reading computes everything but the forecast, which costs more than all the
// rest.
func (e *evaluation) reading() Reading {
	r := Reading{
		Criterion: e.criterion.String(),
		Run:       Run{Have: e.run, Need: e.criterion.Window.Need},
		Lacking:   e.lacking(),
		Flags:     e.flags(),
		Sessions:  e.sessionReadings(),
		Estimate:  e.estimate(),
		IdleFrom:  e.idleFrom(),
		Progress:  e.progress(),
		Evidence:  e.evidence(),
		Totals:    e.totals(),
	}
	if e.met >= 0 {
		id := e.counted[e.met].ID
		r.MetBy = &id
	}
	r.Status = e.status(r.Flags)
	return r
}

func (e *evaluation) status(flags []Flag) Status {
	if e.met >= 0 {
		return StatusMet
	}
	idle := false
	for _, f := range flags {
		if f.Kind.Stalls() {
			return StatusStalled
		}
		idle = idle || f.Kind == Idle
	}
	switch {
	case idle:
		return StatusIdle
	case len(e.counted) < 3:
		return StatusGathering
	}
	return StatusUnderWay
}

func (e *evaluation) sessionReadings() []SessionReading {
	out := make([]SessionReading, len(e.all))
	for i := range e.all {
		j := &e.all[i]
		r := SessionReading{ID: j.ID, Counted: j.counted(), Why: j.why}
		if r.Counted {
			r.Qualifies, r.Barred = j.qualifies, j.barred
			r.Value, r.Over = shown(e.yards[0], j)
		}
		out[i] = r
	}
	return out
}

// shown returns a counted session's value for the first goal as a float. A
// barred session may have none.
func shown(y *yardstick, j *judged) (value *float64, over bool) {
	v, ok := j.values[0], true
	if j.barred != NotBarred && !j.has {
		v, ok = y.value(j.Session)
	}
	return asFloat(v, ok)
}

func asFloat(v measure.Value, ok bool) (value *float64, over bool) {
	if !ok || v.Over {
		return nil, ok && v.Over
	}
	f := v.Number.Float64()
	return &f, false
}
