package demo

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"newel/internal/app"
	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/recording"
)

// course is one program as a learner was taught it. Days are counted from any
// origin; the last one was daysAgo days ago.
type course struct {
	program      string // name of the starter
	withoutTouch bool
	allTheSame   bool // started although the learner lacked a required skill
	began        int  // day
	last         int  // day
	daysAgo      int
	stages       []stage
}

// stage is a placement on one step: its sessions, other deeds, and the decision
// that ended it.
type stage struct {
	role     string // of the strand; empty if the program has only one
	step     string // label
	sessions []sitting
	deeds    []event                 // each done after the sessions of its day
	decision newel.DecisionKind      // empty if the placement is still open
	decided  app.DecisionInput       // the rest of the decision
	newer    func(*program.Document) // published before the decision
	shows    string                  // a skill that was then recorded as acquired
}

// event is something that someone does on a day of a placement.
type event struct {
	day int
	do  func(ctx context.Context, h *home, at newel.PlacementID) error
}

// sitting is one session: correct of of trials, and the details below.
type sitting struct {
	row
	seconds   int // median response time; 0 if not measured
	ended     recording.Ending
	declined  int            // the last trials, which the child said no to
	received  int            // day on which it reached the server; 0 for the same day
	clockFast time.Duration  // of the phone
	name      string         // for deeds that refer to it
	as        *int           // number first entered as correct
	twin      string         // person who entered the same session again, days later
	watched   string         // person who recorded the session too while it happened, and missed one tap
	kind      recording.Kind // teaching if empty
}

// row is the short form of a session.
type row struct {
	day         int
	who, place  string
	correct, of int
}

func (h *home) learns(ctx context.Context, c course) error {
	if err := h.trains(ctx, c); err != nil {
		return err
	}
	h.at(c.ago(c.began), 11)
	in := app.AssignInput{Program: h.programs[c.program].String(), WithoutTouch: c.withoutTouch, AllTheSame: c.allTheSame}
	if _, err := h.app.Assign(ctx, h.supervisor, app.NewForm(), h.learner, in); err != nil {
		return err
	}
	for _, st := range c.stages {
		if err := h.stay(ctx, c, st); err != nil {
			return fmt.Errorf("step %s: %w", st.step, err)
		}
	}
	return nil
}

func (c course) ago(day int) int { return c.last - day + c.daysAgo }

func (h *home) stay(ctx context.Context, c course, st stage) error {
	placement, err := h.placement(ctx, c.program, st.role, st.step)
	if err != nil {
		return err
	}
	last, deeds := c.began, st.deeds
	for i, sit := range st.sessions {
		for len(deeds) > 0 && deeds[0].day < sit.day {
			if err := h.does(ctx, c, deeds[0], placement); err != nil {
				return err
			}
			deeds = deeds[1:]
		}
		if err := h.session(ctx, c, placement, i, sit); err != nil {
			return fmt.Errorf("day %d: %w", sit.day, err)
		}
		last = max(last, sit.day)
		if sit.received > 0 {
			last = max(last, sit.received)
		}
	}
	for _, d := range deeds {
		last = max(last, d.day)
		if err := h.does(ctx, c, d, placement); err != nil {
			return err
		}
	}
	if st.decision == "" {
		return nil
	}
	h.at(c.ago(last), 20.5)
	if st.newer != nil {
		if err := h.revise(ctx, c.program, st.newer); err != nil {
			return err
		}
	}
	if st.shows != "" {
		if err := h.showed(ctx, st.shows, placement); err != nil {
			return err
		}
	}
	h.leaves(c, st, placement, last)
	return h.decide(ctx, placement, st.decision, st.decided)
}

func (h *home) does(ctx context.Context, c course, d event, at newel.PlacementID) error {
	h.at(c.ago(d.day), 20)
	if err := d.do(ctx, h, at); err != nil {
		return fmt.Errorf("day %d: %w", d.day, err)
	}
	return nil
}

// decide records a decision that follows the latest one.
func (h *home) decide(ctx context.Context, at newel.PlacementID, kind newel.DecisionKind, in app.DecisionInput) error {
	in.Kind = kind
	if h.decided[at] || kind == newel.DecisionStepBack {
		page, err := h.app.Progress(ctx, h.supervisor, at)
		if err != nil {
			return err
		}
		in.After = page.Latest()
		for _, s := range page.Strand.Steps {
			if s.Label == in.To {
				in.To = s.Key
			}
		}
	}
	_, err := h.app.Decide(ctx, h.supervisor, app.NewForm(), at, in)
	h.decided[at] = true
	return err
}

// session records one session on the teacher's phone and sends it.
func (h *home) session(ctx context.Context, c course, placement newel.PlacementID, i int, sit sitting) error {
	h.at(c.ago(sit.day), hours[i%len(hours)])
	kit, err := h.kit(ctx, sit.who, placement)
	if err != nil {
		return err
	}
	length := time.Duration(sit.of) * trialLength
	kind, help := recording.Teaching, kit.PlannedHelp
	if sit.kind != "" {
		kind, help = sit.kind, ""
	}
	d := recording.Document{
		Contract: recording.Contract, ID: newel.NewID[newel.RecordingID](),
		Origin: recording.Origin{
			Placement: placement, Author: h.phoneOf(sit.who).Account, Kit: kitName(kit), Device: "demo",
			StartedAt: h.shown(-length, sit),
		},
		Header: recording.Header{
			By: recording.Rev(1, h.people[sit.who]), Kind: recording.Rev(1, kind), How: recording.Rev(1, recording.Live),
			Place: recording.Rev(1, sit.place), PlannedHelp: recording.Rev(1, help), EndedEarly: recording.Rev(1, sit.ended),
		},
		Trials:  trials(sit, kit),
		Closing: &recording.Closing{Last: sit.of, EndMS: length.Milliseconds(), EndedAt: h.shown(0, sit)},
	}
	if sit.received > 0 {
		h.at(c.ago(sit.received), 18+float64(i)/60)
	}
	if err := h.send(ctx, sit, d); err != nil {
		return err
	}
	h.recorded[sit.name] = d.ID
	if sit.watched != "" {
		if err := h.watches(ctx, sit, d); err != nil {
			return err
		}
	}
	if sit.twin != "" {
		return h.again(ctx, c, sit, d)
	}
	return nil
}

// kit returns the kit of a placement on the teacher's phone. It fetches it
// once.
func (h *home) kit(ctx context.Context, who string, placement newel.PlacementID) (kit program.Kit, err error) {
	phone := h.phoneOf(who)
	at := kitHolder{phone.Account, placement}
	kit, ok := h.kits[at]
	if !ok {
		kit, err = h.app.Kit(ctx, phone, placement)
		h.kits[at] = kit
	}
	return kit, err
}

func (h *home) send(ctx context.Context, sit sitting, d recording.Document) error {
	sent := recording.Sent{At: h.shown(0, sit)}
	_, err := h.app.StoreRecording(ctx, h.phones[h.nameOf(d.Author)], app.Delivered{ID: d.ID, Body: d.Encode(), Sent: sent})
	return err
}

func (h *home) nameOf(author newel.AccountID) string {
	for name, actor := range h.phones {
		if actor.Account == author {
			return name
		}
	}
	return ""
}

// again is the same session entered by someone else, two days later.
func (h *home) again(ctx context.Context, c course, sit sitting, d recording.Document) error {
	d.ID, d.Author = newel.NewID[newel.RecordingID](), h.phones[sit.twin].Account
	d.Header.How = recording.Rev(1, recording.Afterwards)
	h.at(max(c.ago(sit.day)-2, 0), 19)
	if err := h.send(ctx, sit, d); err != nil {
		return err
	}
	h.recorded[sit.name+" again"] = d.ID
	return nil
}

// missedTap is the trial that the second observer of a session did not record.
const missedTap = 3

// watches records the session on a second observer's phone, without one trial.
// Each of their taps comes a moment earlier.
func (h *home) watches(ctx context.Context, sit sitting, d recording.Document) error {
	d.ID, d.Author = newel.NewID[newel.RecordingID](), h.phones[sit.watched].Account
	var seen []recording.Trial
	for _, trial := range d.Trials {
		if trial.N != missedTap {
			trial.N, trial.AtMS = len(seen)+1, trial.AtMS-800
			seen = append(seen, trial)
		}
	}
	d.Trials = seen
	d.Closing = &recording.Closing{Last: len(seen), EndMS: d.Closing.EndMS, EndedAt: d.Closing.EndedAt}
	if err := h.send(ctx, sit, d); err != nil {
		return err
	}
	h.recorded[sit.name+" watched"] = d.ID
	return nil
}

// shown returns the time on the phone's clock a while after the start of the
// session.
func (h *home) shown(after time.Duration, sit sitting) recording.DeviceTime {
	return recording.DeviceTime(h.clock.at.In(h.zone).Add(after + sit.clockFast).Format(time.RFC3339))
}

// hours are the times of day at which families teach.
var hours = []float64{17, 8.5, 16.25, 18}

// trialLength is the length of a trial with its consequence in the invented
// sessions.
const trialLength = 25 * time.Second

// trials spreads the misses over the session in a fixed way.
func trials(sit sitting, kit program.Kit) []recording.Trial {
	list := make([]recording.Trial, sit.of)
	correct, misses := sit.correct, 0
	if sit.as != nil {
		correct = *sit.as
	}
	for i := range list {
		// Bresenham's spacing: trial i is correct when the line steps up.
		a := recording.Answer{Outcome: measure.Correct}
		if sit.kind == "" {
			a.Help = kit.PlannedHelp
		}
		if (i+1)*correct/sit.of == i*correct/sit.of {
			a = miss(misses, sit, kit)
			misses++
		}
		if i >= sit.of-sit.declined {
			a = recording.Answer{Outcome: measure.Declined}
		}
		if sit.seconds > 0 {
			// As many above the median as below it.
			ms := int64(1000*sit.seconds + 3000*(2*i-sit.of+1))
			if kit.Measure == program.MeasureRecovery {
				a.RecoveryMS = &ms
			} else {
				a.LatencyMS = &ms
			}
		}
		if n := len(kit.Targets); n > 0 {
			a.Target = kit.Targets[i%n].Key
		}
		list[i] = recording.Trial{N: i + 1, Rev: 1, AtMS: (time.Duration(i+1) * trialLength).Milliseconds(), Answer: &a}
	}
	return list
}

// miss returns the answer of a trial that was not independent: not yet,
// prompted, or without a response.
func miss(n int, sit sitting, kit program.Kit) recording.Answer {
	switch {
	case n%3 == 1 && len(kit.HelpLevels) > 0:
		return recording.Answer{Outcome: measure.Correct, Help: kit.HelpLevels[n/3%len(kit.HelpLevels)]}
	case n%3 == 2 && sit.seconds == 0:
		return recording.Answer{Outcome: measure.NoResponse}
	}
	return recording.Answer{Outcome: measure.Incorrect}
}

func kitName(kit program.Kit) recording.Kit {
	sum := sha256.Sum256([]byte(kit.Placement.String()))
	return recording.Kit{ID: kit.Placement.String(), Hash: hex.EncodeToString(sum[:])}
}
