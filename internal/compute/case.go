package compute

import (
	"newel/internal/criterion"
	"newel/internal/measure"
)

func (d decoder) caseObject(c *criterion.Case) error {
	required := []string{"as_of", "time_zone", "criterion", "sessions"}
	return d.Object(required, func(name string) error {
		switch name {
		case "as_of":
			return d.moment(&c.AsOf)
		case "time_zone":
			return d.Text(&c.TimeZone)
		case "started_on":
			return d.date(&c.StartedOn)
		case "criterion":
			return d.Text(&c.Criterion)
		case "step_back":
			return d.Text(&c.StepBack)
		case "help_levels":
			return d.Texts(&c.HelpLevels)
		case "targets":
			return d.Texts(&c.Targets)
		case "pauses":
			return d.Array(func() error { return d.pause(c) })
		case "rules":
			return d.rules(&c.Rules)
		case "sessions":
			return d.Array(func() error {
				c.Sessions = append(c.Sessions, criterion.Session{})
				return d.session(&c.Sessions[len(c.Sessions)-1])
			})
		}
		return d.Unknown()
	})
}

func (d decoder) pause(c *criterion.Case) error {
	var p criterion.Pause
	err := d.Object([]string{"from", "to"}, func(name string) error {
		switch name {
		case "from":
			return d.date(&p.From)
		case "to":
			return d.date(&p.To)
		}
		return d.Unknown()
	})
	c.Pauses = append(c.Pauses, p)
	return err
}

func (d decoder) rules(r *criterion.Rules) error {
	return d.ObjectOrNull(nil, func(name string) error {
		switch name {
		case "off":
			return d.Array(func() error {
				var s string
				err := d.Text(&s)
				r.Off = append(r.Off, criterion.FlagKind(s))
				return err
			})
		case "long":
			return d.OptionalInteger(&r.Long)
		case "floor_percent":
			return d.OptionalNumber(&r.FloorPercent)
		case "idle_days":
			return d.OptionalInteger(&r.IdleDays)
		}
		return d.Unknown()
	})
}

func (d decoder) session(s *criterion.Session) error {
	return d.Object([]string{"id", "started_at", "ended_at"}, func(name string) error {
		switch name {
		case "id":
			return d.Text(&s.ID)
		case "started_at":
			return d.moment(&s.StartedAt)
		case "ended_at":
			return d.moment(&s.EndedAt)
		case "local_date":
			return d.date(&s.LocalDate)
		case "by":
			return d.Text(&s.By)
		case "place":
			return d.Text(&s.Place)
		case "place_sort":
			return d.Text(&s.PlaceSort)
		case "kind":
			return d.kind(&s.Kind)
		case "planned_help":
			return d.Text(&s.PlannedHelp)
		case "void":
			return d.Boolean(&s.Void)
		case "ended_early":
			return d.Text((*string)(&s.EndedEarly))
		case "afterwards":
			return d.Boolean(&s.Afterwards)
		}
		return d.sessionData(s, name)
	})
}

// kind rejects the empty string, which means teaching only in Go.
func (d decoder) kind(k *criterion.Kind) error {
	if err := d.Text((*string)(k)); err != nil {
		return err
	}
	if *k == "" {
		return d.Failed("must be teaching, probe, baseline or maintenance")
	}
	return nil
}

func (d decoder) sessionData(s *criterion.Session, name string) error {
	switch name {
	case "trials":
		return d.Array(func() error {
			s.Trials = append(s.Trials, criterion.Trial{})
			return d.trial(&s.Trials[len(s.Trials)-1])
		})
	case "count":
		var n int64
		if err := d.Whole(&n); err != nil {
			return err
		}
		s.Count = &n
		return nil
	case "observed_s":
		return d.OptionalNumber(&s.ObservedS)
	case "durations_s":
		return d.Numbers(&s.DurationsS)
	case "intervals":
		return d.Array(func() error {
			var b bool
			err := d.Boolean(&b)
			s.Intervals = append(s.Intervals, b)
			return err
		})
	}
	return d.Unknown()
}

func (d decoder) trial(t *criterion.Trial) error {
	return d.Object([]string{"outcome"}, func(name string) error {
		switch name {
		case "target":
			return d.Text(&t.Target)
		case "outcome":
			return d.outcome(&t.Outcome)
		case "help":
			return d.Text(&t.Help)
		case "latency_s":
			return d.OptionalNumber(&t.LatencyS)
		case "none":
			return d.Boolean(&t.None)
		case "recovery_s":
			return d.OptionalNumber(&t.RecoveryS)
		case "recovery_none":
			return d.Boolean(&t.RecoveryNone)
		// 0 means unknown in Go and is therefore not valid in JSON.
		case "choices":
			return d.IntegerFrom(2, &t.Choices)
		case "position":
			return d.IntegerFrom(1, &t.Position)
		case "void":
			return d.Boolean(&t.Void)
		}
		return d.Unknown()
	})
}

func (d decoder) outcome(o *measure.Outcome) error {
	return d.Text((*string)(o))
}
