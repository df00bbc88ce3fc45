package criterion

import "newel/internal/measure"

func (d *decoder) caseObject(c *Case) error {
	required := []string{"as_of", "time_zone", "criterion", "sessions"}
	return d.object(required, func(name string) error {
		switch name {
		case "as_of":
			return d.moment(&c.AsOf)
		case "time_zone":
			return d.text(&c.TimeZone)
		case "started_on":
			return d.date(&c.StartedOn)
		case "criterion":
			return d.text(&c.Criterion)
		case "step_back":
			return d.text(&c.StepBack)
		case "help_levels":
			return d.texts(&c.HelpLevels)
		case "targets":
			return d.texts(&c.Targets)
		case "pauses":
			return d.array(func() error { return d.pause(c) })
		case "rules":
			return d.rules(&c.Rules)
		case "sessions":
			return d.array(func() error {
				c.Sessions = append(c.Sessions, Session{})
				return d.session(&c.Sessions[len(c.Sessions)-1])
			})
		}
		return d.unknown()
	})
}

func (d *decoder) pause(c *Case) error {
	var p Pause
	err := d.object([]string{"from", "to"}, func(name string) error {
		switch name {
		case "from":
			return d.date(&p.From)
		case "to":
			return d.date(&p.To)
		}
		return d.unknown()
	})
	c.Pauses = append(c.Pauses, p)
	return err
}

func (d *decoder) rules(r *Rules) error {
	return d.objectOrNull(nil, func(name string) error {
		switch name {
		case "off":
			return d.array(func() error {
				var s string
				err := d.text(&s)
				r.Off = append(r.Off, FlagKind(s))
				return err
			})
		case "long":
			return d.optionalInteger(&r.Long)
		case "floor_percent":
			return d.optionalNumber(&r.FloorPercent)
		case "idle_days":
			return d.optionalInteger(&r.IdleDays)
		}
		return d.unknown()
	})
}

func (d *decoder) session(s *Session) error {
	return d.object([]string{"id", "started_at", "ended_at"}, func(name string) error {
		switch name {
		case "id":
			return d.text(&s.ID)
		case "started_at":
			return d.moment(&s.StartedAt)
		case "ended_at":
			return d.moment(&s.EndedAt)
		case "local_date":
			return d.date(&s.LocalDate)
		case "by":
			return d.text(&s.By)
		case "place":
			return d.text(&s.Place)
		case "kind":
			return d.kind(&s.Kind)
		case "planned_help":
			return d.text(&s.PlannedHelp)
		case "void":
			return d.boolean(&s.Void)
		case "ended_early":
			return d.text((*string)(&s.EndedEarly))
		}
		return d.sessionData(s, name)
	})
}

// kind refuses the empty text, which stands for teaching only in Go.
func (d *decoder) kind(k *Kind) error {
	if err := d.text((*string)(k)); err != nil {
		return err
	}
	if *k == "" {
		return d.failed("must be teaching, probe, baseline or maintenance")
	}
	return nil
}

func (d *decoder) sessionData(s *Session, name string) error {
	switch name {
	case "trials":
		return d.array(func() error {
			s.Trials = append(s.Trials, Trial{})
			return d.trial(&s.Trials[len(s.Trials)-1])
		})
	case "count":
		var n int64
		if err := d.whole(&n); err != nil {
			return err
		}
		s.Count = &n
		return nil
	case "observed_s":
		return d.optionalNumber(&s.ObservedS)
	case "durations_s":
		return d.numbers(&s.DurationsS)
	case "intervals":
		return d.array(func() error {
			var b bool
			err := d.boolean(&b)
			s.Intervals = append(s.Intervals, b)
			return err
		})
	}
	return d.unknown()
}

func (d *decoder) trial(t *Trial) error {
	return d.object([]string{"outcome"}, func(name string) error {
		switch name {
		case "target":
			return d.text(&t.Target)
		case "outcome":
			return d.outcome(&t.Outcome)
		case "help":
			return d.text(&t.Help)
		case "latency_s":
			return d.optionalNumber(&t.LatencyS)
		case "none":
			return d.boolean(&t.None)
		case "choices":
			return d.atLeast(&t.Choices, 2)
		case "position":
			return d.atLeast(&t.Position, 1)
		case "void":
			return d.boolean(&t.Void)
		}
		return d.unknown()
	})
}

func (d *decoder) outcome(o *measure.Outcome) error {
	return d.text((*string)(o))
}

// atLeast reads a whole number for which 0 stands for unknown in Go, and so
// cannot be written.
func (d *decoder) atLeast(into *int, least int) error {
	if err := d.integer(into); err != nil {
		return err
	}
	if *into < least {
		return d.failed("must be %d or more", least)
	}
	return nil
}
