package criterion

import (
	"cmp"
	"slices"
)

// TargetState is the state of a target that is mastered individually.
type TargetState string

// The states of a target.
const (
	TargetMet     TargetState = "met"     // mastered and no longer taught
	TargetTaught  TargetState = "taught"  // currently taught
	TargetWaiting TargetState = "waiting" // not introduced yet
)

// TargetReading is the result for one target of a step whose targets are
// mastered individually.
type TargetReading struct {
	Target   string      `json:"target"`
	State    TargetState `json:"state"`
	Status   Status      `json:"status"`
	MetBy    *string     `json:"met_by"`  // id of the session at which it was met
	Counted  int         `json:"counted"` // sessions
	Run      Run         `json:"run"`
	Lacking  []Lacking   `json:"lacking"`
	Flags    []FlagKind  `json:"flags"` // flags raised for this target
	Estimate *Estimate   `json:"estimate"`
	Progress *Progress   `json:"progress"`
	Evidence *Evidence   `json:"evidence"`
	Totals   *Totals     `json:"totals"`
}

// WhatTargets: how many targets are met of how many. Only the combined reading
// of a step has it.
const WhatTargets What = "targets"

// EvaluateEach evaluates a step whose targets are mastered one by one, with
// atOnce of them taught at a time while the others wait in order. It evaluates
// each target without the other targets' trials and combines the results. The
// step is met when every target is. A session's value is that of the targets
// taught in it; estimates, progress, evidence and totals exist only per target, and
// forecasts not at all.
//
// A target's placement begins with the first session that tried it. What
// concerns the child rather than a target (distress, idle) comes from whole
// sessions. Without targets, or with a goal that is not measured on trials,
// EvaluateEach is the same as Evaluate.
func EvaluateEach(c Case, atOnce int) (Reading, error) {
	s, err := settle(&c)
	if err != nil {
		return Reading{}, err
	}
	if atOnce < 1 || len(c.Targets) == 0 || !s.criterion.Goal.Measure.OnTrials() {
		return Evaluate(c)
	}
	each := composing{settled: s, targets: make([]*taught, len(c.Targets))}
	for i, target := range c.Targets {
		each.targets[i] = s.alone(target)
		if each.targets[i].e.met < 0 && atOnce > 0 {
			each.targets[i].state, atOnce = TargetTaught, atOnce-1
		}
	}
	return each.reading(), nil
}

// taught is one target evaluated on its own.
type taught struct {
	name  string
	state TargetState
	e     *evaluation
	r     Reading
	byID  map[string]int // index into r.Sessions and e.all
}

// composing combines the readings of the targets into one.
type composing struct {
	settled
	targets []*taught
}

// alone evaluates one target.
func (s settled) alone(target string) *taught {
	own := *s.Case
	own.Targets, own.Sessions = []string{target}, nil
	var began *Session
	for i := range s.Sessions {
		if tries(&s.Sessions[i], target) && (began == nil || inOrder(&s.Sessions[i], began) < 0) {
			began = &s.Sessions[i]
		}
	}
	for i := range s.Sessions {
		if began != nil && inOrder(&s.Sessions[i], began) >= 0 {
			own.Sessions = append(own.Sessions, onlyTrials(s.Sessions[i], func(t *Trial) bool { return t.Target == target }))
		}
	}
	s.Case = &own
	t := &taught{name: target, state: TargetWaiting, e: evaluate(s), byID: map[string]int{}}
	t.r = t.e.reading()
	for i := range t.r.Sessions {
		t.byID[t.r.Sessions[i].ID] = i
	}
	if t.e.met >= 0 {
		t.state = TargetMet
	}
	return t
}

func tries(s *Session, target string) bool {
	return slices.ContainsFunc(s.Trials, func(t Trial) bool { return t.Target == target && !t.Void })
}

func inOrder(a, b *Session) int {
	return cmp.Or(a.EndedAt.Compare(b.EndedAt), cmp.Compare(a.ID, b.ID))
}

// onlyTrials returns a session with some of its trials.
func onlyTrials(s Session, keep func(*Trial) bool) Session {
	all := s.Trials
	s.Trials = make([]Trial, 0, len(all))
	for i := range all {
		if keep(&all[i]) {
			s.Trials = append(s.Trials, all[i])
		}
	}
	return s
}

// metBefore reports whether the target was met before the session.
func (t *taught) metBefore(s *Session) bool {
	return t.e.met >= 0 && inOrder(t.e.counted[t.e.met].Session, s) < 0
}

func (c *composing) reading() Reading {
	whole := evaluate(c.settled)
	whole.met = -1 // all trials combined never meet the criterion
	r := Reading{
		Criterion: c.criterion.String(), Run: Run{Need: len(c.targets)}, Lacking: []Lacking{},
		Sessions: c.sessions(), Targets: make([]TargetReading, len(c.targets)), IdleFrom: whole.idleFrom(),
	}
	for i, t := range c.targets {
		r.Targets[i] = t.reading()
		if t.state == TargetMet {
			r.Run.Have++
		}
	}
	if r.Run.Have < r.Run.Need {
		r.Lacking = append(r.Lacking, Lacking{WhatTargets, r.Run.Have, r.Run.Need})
	} else {
		r.MetBy, r.IdleFrom = c.metBy(), nil
	}
	r.Flags = c.flags(whole, r.MetBy != nil)
	r.Status = composed(r)
	return r
}

func (t *taught) reading() TargetReading {
	out := TargetReading{
		Target: t.name, State: t.state, Status: t.r.Status, MetBy: t.r.MetBy, Counted: len(t.e.counted),
		Run: t.r.Run, Lacking: t.r.Lacking, Flags: []FlagKind{}, Estimate: t.r.Estimate,
		Progress: t.r.Progress, Evidence: t.r.Evidence, Totals: t.r.Totals,
	}
	for _, f := range t.r.Flags {
		if t.raises(f.Kind) {
			out.Flags = append(out.Flags, f.Kind)
		}
	}
	return out
}

// raises reports whether the step raises the target's flag: a waiting target
// raises none, a met one only those about maintenance.
func (t *taught) raises(kind FlagKind) bool {
	switch kind {
	case Idle, Distress:
		return false // comes from whole sessions
	case CheckAgain, Slipping:
		return t.state == TargetMet
	}
	return t.state == TargetTaught
}

// composed returns the status, determined in the same order as for a single
// target.
func composed(r Reading) Status {
	if r.MetBy != nil {
		return StatusMet
	}
	counted := 0
	for _, s := range r.Sessions {
		if s.Counted {
			counted++
		}
	}
	_, idle := r.Flag(Idle)
	switch {
	case slices.ContainsFunc(r.Flags, func(f Flag) bool { return f.Kind.Stalls() }):
		return StatusStalled
	case idle:
		return StatusIdle
	case counted < 3:
		return StatusGathering
	}
	return StatusUnderWay
}

// metBy returns the session at which the last of the targets was met.
func (c *composing) metBy() *string {
	var last *Session
	for _, t := range c.targets {
		if at := t.e.counted[t.e.met].Session; last == nil || inOrder(at, last) > 0 {
			last = at
		}
	}
	id := last.ID
	return &id
}

// flags returns the flags of the targets, each kind once with all the sessions
// it is based on for any target, and those of whole sessions.
func (c *composing) flags(whole *evaluation, met bool) []Flag {
	rests := map[FlagKind]map[string]bool{}
	add := func(f Flag) {
		if rests[f.Kind] == nil {
			rests[f.Kind] = map[string]bool{}
		}
		for _, id := range f.Sessions {
			rests[f.Kind][id] = true
		}
	}
	for _, t := range c.targets {
		for _, f := range t.r.Flags {
			if t.raises(f.Kind) {
				add(f)
			}
		}
	}
	for _, f := range whole.flags() {
		if f.Kind == Distress || f.Kind == Idle && !met {
			add(f)
		}
	}
	flags := []Flag{}
	for _, kind := range FlagKinds {
		if rests[kind] == nil {
			continue
		}
		f := Flag{Kind: kind, Sessions: []string{}}
		for i := range whole.all {
			if id := whole.all[i].ID; rests[kind][id] {
				f.Sessions = append(f.Sessions, id)
			}
		}
		flags = append(flags, f)
	}
	return flags
}

// sessions returns the result of each session: it counts if it counts for any
// target, and qualifies if it does for all of those.
func (c *composing) sessions() []SessionReading {
	own := *c.Case
	own.Sessions = make([]Session, len(c.Sessions))
	for i := range c.Sessions {
		own.Sessions[i] = onlyTrials(c.Sessions[i], func(t *Trial) bool {
			return slices.ContainsFunc(c.targets, func(of *taught) bool { return of.name == t.Target && !of.metBefore(&c.Sessions[i]) })
		})
	}
	s := c.settled
	s.Case, s.criterion.EachTarget = &own, false
	pooled := evaluate(s)
	out := make([]SessionReading, len(pooled.all))
	for i := range pooled.all {
		j := &pooled.all[i]
		out[i] = c.session(j)
		if out[i].Counted {
			v, ok := pooled.yards[0].value(j.Session)
			out[i].Value, out[i].Over = asFloat(v, ok)
		}
	}
	return out
}

func (c *composing) session(j *judged) SessionReading {
	r := SessionReading{ID: j.ID, Why: j.why}
	for _, t := range c.targets {
		i, in := t.byID[j.ID]
		if !in || t.state == TargetWaiting || t.metBefore(j.Session) {
			continue
		}
		own := t.r.Sessions[i]
		switch {
		case !own.Counted && !r.Counted && r.Why == Counted:
			r.Why = own.Why
		case own.Counted && !r.Counted:
			r.Counted, r.Why, r.Qualifies, r.Barred = true, Counted, own.Qualifies, own.Barred
		case own.Counted:
			r.Qualifies = r.Qualifies && own.Qualifies
			if r.Barred == NotBarred {
				r.Barred = own.Barred
			}
		}
	}
	if !r.Counted && r.Why == Counted {
		r.Why = WhyNoData // no target being taught was tried
	}
	return r
}

// Holds reports whether the latest sessions with the given planned help satisfy
// a rule written like a step-back rule, and returns those sessions, oldest
// first. As with a step-back rule, a trial with no more than the planned help
// is correct. An error it returns is an *InputError.
func Holds(c Case, rule, plannedHelp string) (sessions []string, holds bool, err error) {
	c.StepBack = rule
	s, err := settle(&c)
	if err != nil || s.stepBack == nil {
		return nil, false, err
	}
	e := evaluate(s)
	if len(e.stretch) == 0 || last(e.stretch).PlannedHelp != plannedHelp {
		return nil, false, nil
	}
	rests, holds := e.holds(s.stepBack)
	return ids(rests), holds, nil
}
