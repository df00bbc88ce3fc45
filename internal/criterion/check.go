package criterion

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"newel/internal/exact"
	"newel/internal/measure"
	"newel/internal/timezone"
)

// settled is a validated case with its criteria parsed.
type settled struct {
	*Case
	criterion Criterion
	stepBack  *Criterion // nil if it has none
	zone      *time.Location
	scale     measure.Scale
	long      int
	floor     exact.Rat
	idleDays  int
}

func wrong(path string, err error) error { return &InputError{Path: path, Err: err} }

func wrongf(path, format string, args ...any) error {
	return wrong(path, fmt.Errorf(format, args...))
}

var errRequired = errors.New("this field is required")

// settle validates a case. An error it returns is an *InputError.
func settle(c *Case) (s settled, err error) {
	s = settled{Case: c, scale: measure.Scale(c.HelpLevels)}
	if c.AsOf.IsZero() {
		return s, wrong("as_of", errRequired)
	}
	if s.zone, err = timezone.Load(c.TimeZone); err != nil {
		return s, wrong("time_zone", err)
	}
	if err := checkNames("help_levels", c.HelpLevels); err != nil {
		return s, err
	}
	if err := checkNames("targets", c.Targets); err != nil {
		return s, err
	}
	if err := s.readWords(); err != nil {
		return s, err
	}
	if err := s.settleRules(); err != nil {
		return s, err
	}
	for i, p := range c.Pauses {
		if err := checkPause(fmt.Sprintf("pauses[%d]", i), p); err != nil {
			return s, err
		}
	}
	return s, s.checkSessions()
}

// checkNames rejects empty and duplicate names.
func checkNames(path string, names []string) error {
	for i, name := range names {
		at := fmt.Sprintf("%s[%d]", path, i)
		if strings.TrimSpace(name) == "" {
			return wrongf(at, "must not be empty")
		}
		if slices.Contains(names[:i], name) {
			return wrongf(at, "%q appears twice", name)
		}
	}
	return nil
}

func (s *settled) readWords() (err error) {
	v := Vocabulary{HelpLevels: s.HelpLevels, Targets: s.Targets}
	if s.criterion, err = Parse(s.Criterion, v); err != nil {
		return wrong("criterion", err)
	}
	if s.StepBack == "" {
		return nil
	}
	back, err := ParseStepBack(s.StepBack, v)
	if err != nil {
		return wrong("step_back", err)
	}
	s.stepBack = &back
	return nil
}

func (s *settled) settleRules() error {
	r := s.Rules
	for i, kind := range r.Off {
		if !slices.Contains(FlagKinds, kind) {
			return wrongf(fmt.Sprintf("rules.off[%d]", i), "%q is not a flag", kind)
		}
	}
	s.long, s.idleDays, s.floor = DefaultLong, DefaultIdleDays, exact.Int(DefaultFloorPercent)
	if r.Long != nil {
		if *r.Long < 8 || *r.Long > 1000 {
			return wrongf("rules.long", "must be from 8 to 1000")
		}
		s.long = *r.Long
	}
	if r.IdleDays != nil {
		if *r.IdleDays < 1 || *r.IdleDays > 1000 {
			return wrongf("rules.idle_days", "must be from 1 to 1000")
		}
		s.idleDays = *r.IdleDays
	}
	if r.FloorPercent != nil {
		if r.FloorPercent.Sign() < 0 || exact.Int(100).Less(*r.FloorPercent) {
			return wrongf("rules.floor_percent", "must be from 0 to 100")
		}
		s.floor = *r.FloorPercent
	}
	return nil
}

func (s *settled) off(kind FlagKind) bool { return slices.Contains(s.Rules.Off, kind) }

func checkPause(path string, p Pause) error {
	switch {
	case p.From.IsZero():
		return wrong(path+".from", errRequired)
	case p.To.IsZero():
		return wrong(path+".to", errRequired)
	case p.To.day() < p.From.day():
		return wrongf(path+".to", "a pause cannot end before it begins")
	}
	return nil
}

func (s *settled) checkSessions() error {
	seen := make(map[string]bool, len(s.Sessions))
	for i := range s.Sessions {
		session := &s.Sessions[i]
		at := func(field string) string { return fmt.Sprintf("sessions[%d].%s", i, field) }
		switch {
		case session.ID == "":
			return wrong(at("id"), errRequired)
		case seen[session.ID]:
			return wrongf(at("id"), "%q is the id of two sessions", session.ID)
		}
		seen[session.ID] = true
		if field, err := s.checkSession(session); err != nil {
			return wrong(at(field), err)
		}
		for j := range session.Trials {
			if field, err := s.checkTrial(&session.Trials[j]); err != nil {
				return wrong(at(fmt.Sprintf("trials[%d].%s", j, field)), err)
			}
		}
	}
	return nil
}

var (
	errNegative = errors.New("must not be negative")
	errHelp     = errors.New("is not one of help_levels")
)

// checkSession returns the invalid field of a session and the reason.
func (s *settled) checkSession(session *Session) (field string, err error) {
	switch session.Kind {
	case "", Teaching, Probe, Baseline, Maintenance:
	default:
		return "kind", fmt.Errorf("%q is not one of teaching, probe, baseline and maintenance", session.Kind)
	}
	switch session.EndedEarly {
	case NotEarly, EarlyDistress, EarlyForOthers:
	default:
		return "ended_early", fmt.Errorf("%q is not distress or other", session.EndedEarly)
	}
	switch {
	case session.StartedAt.IsZero():
		return "started_at", errRequired
	case session.EndedAt.IsZero():
		return "ended_at", errRequired
	case session.EndedAt.Before(session.StartedAt):
		return "ended_at", errors.New("a session cannot end before it starts")
	case session.Count != nil && *session.Count < 0:
		return "count", errNegative
	case session.ObservedS != nil && session.ObservedS.Sign() < 0:
		return "observed_s", errNegative
	}
	for i, d := range session.DurationsS {
		if d.Sign() < 0 {
			return fmt.Sprintf("durations_s[%d]", i), errNegative
		}
	}
	if _, ok := s.scale.Rank(session.PlannedHelp); !ok {
		return "planned_help", fmt.Errorf("%q %w", session.PlannedHelp, errHelp)
	}
	return "", nil
}

// checkTrial returns the invalid field of a trial and the reason.
func (s *settled) checkTrial(t *Trial) (field string, err error) {
	if !slices.Contains(measure.Outcomes, t.Outcome) {
		return "outcome", fmt.Errorf("%q is not one of correct, incorrect, no_response, declined, no_chance and adult_part", t.Outcome)
	}
	if _, ok := s.scale.Rank(t.Help); !ok {
		return "help", fmt.Errorf("%q %w", t.Help, errHelp)
	}
	switch {
	case t.LatencyS != nil && t.LatencyS.Sign() < 0:
		return "latency_s", errNegative
	case t.LatencyS != nil && t.None:
		return "none", errors.New("a trial cannot have both latency_s and none")
	case t.RecoveryS != nil && t.RecoveryS.Sign() < 0:
		return "recovery_s", errNegative
	case t.RecoveryS != nil && t.RecoveryNone:
		return "recovery_none", errors.New("a trial cannot have both recovery_s and recovery_none")
	case t.Choices != 0 && t.Choices < 2:
		return "choices", errors.New("must be 2 or more")
	case t.Position < 0, t.Choices != 0 && t.Position > t.Choices:
		return "position", errors.New("must be from 1 to the number of choices")
	}
	return "", nil
}
