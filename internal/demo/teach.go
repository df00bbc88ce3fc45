package demo

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"newel/internal/app"
	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/recording"
)

// course is one program as a learner was taught it.
type course struct {
	program      string // file
	withoutTouch bool
	began        int // days ago
	stages       []stage
}

// stage is a stay on one step: its sessions, and the decision that ended it.
type stage struct {
	role     string // of the strand; empty if the program has only one
	step     string // label
	sessions []sitting
	decision newel.DecisionKind // empty: the stay goes on
	reason   string
	expected string
}

// sitting is one session: so many of so many correct, the rest as said.
type sitting struct {
	daysAgo int
	who     string
	correct int
	of      int
	help    string          // level with which the correct ones were reached; empty: alone
	rest    measure.Outcome // what the others were; empty: incorrect
	seconds int             // to the response, in every trial; 0: not measured
	ended   recording.Ending
}

func (s *seeder) teach(ctx context.Context, h household, learner newel.LearnerID, c course) error {
	s.at(c.began, 10)
	in := app.AssignInput{Program: s.programs[c.program].String(), WithoutTouch: c.withoutTouch}
	if _, err := s.app.Assign(ctx, s.lead, app.NewForm(), learner, in); err != nil {
		return fmt.Errorf("%s, %s: %w", h.name, c.program, err)
	}
	for _, st := range c.stages {
		if err := s.stay(ctx, h, learner, c, st); err != nil {
			return fmt.Errorf("%s, %s, step %s: %w", h.name, c.program, st.step, err)
		}
	}
	return nil
}

func (s *seeder) stay(ctx context.Context, h household, learner newel.LearnerID, c course, st stage) error {
	placement, err := s.placement(ctx, learner, c, st)
	if err != nil {
		return err
	}
	last := c.began
	for i, sit := range st.sessions {
		if err := s.session(ctx, h, placement, i, sit); err != nil {
			return err
		}
		last = sit.daysAgo
	}
	if st.decision == "" {
		return nil
	}
	s.at(last, 22)
	_, err = s.app.Decide(ctx, s.lead, app.NewForm(), placement, app.DecisionInput{Kind: st.decision, Reason: st.reason, Expected: st.expected})
	return err
}

// placement finds where the learner stands now.
func (s *seeder) placement(ctx context.Context, learner newel.LearnerID, c course, st stage) (newel.PlacementID, error) {
	programs, err := s.app.LearnerPrograms(ctx, s.lead, learner)
	if err != nil {
		return newel.PlacementID{}, err
	}
	for _, p := range programs {
		for _, strand := range p.Strands {
			if p.ProgramID == s.programs[c.program] && strand.Role == st.role && strand.Placement != nil && standsOn(strand, st.step) {
				return strand.Placement.ID, nil
			}
		}
	}
	return newel.PlacementID{}, fmt.Errorf("nobody stands on step %s: %w", st.step, newel.ErrNotFound)
}

func standsOn(strand app.LearnerStrand, label string) bool {
	return slices.ContainsFunc(strand.Steps, func(step newel.Step) bool { return step.Key == strand.At && step.Label == label })
}

// session records one session from the phone of the family and sends it.
func (s *seeder) session(ctx context.Context, h household, placement newel.PlacementID, i int, sit sitting) error {
	s.at(sit.daysAgo, 9+i%3)
	author := s.caregivers[h.phones[0]]
	if own, ok := s.caregivers[sit.who]; ok {
		author = own
	}
	zone, err := time.LoadLocation(h.zone)
	if err != nil {
		return err
	}
	kit, err := s.app.Kit(ctx, author, placement)
	if err != nil {
		return err
	}
	length := time.Duration(sit.of) * trialLength
	ended := s.clock.at.In(zone)
	started := ended.Add(-length)
	d := recording.Document{
		Contract: recording.Contract, ID: newel.NewID[newel.RecordingID](),
		Origin: recording.Origin{
			Placement: placement, Author: author.Account, Kit: kitName(kit), Device: "demo",
			StartedAt: recording.DeviceTime(started.Format(time.RFC3339)),
		},
		Header: recording.Header{
			By: recording.Rev(1, s.people[sit.who]), Kind: recording.Rev(1, recording.Teaching), How: recording.Rev(1, recording.Live),
			Place: recording.Rev(1, "home"), PlannedHelp: recording.Rev(1, kit.PlannedHelp), EndedEarly: recording.Rev(1, sit.ended),
		},
		Trials:  trials(sit, kit),
		Closing: &recording.Closing{Last: sit.of, EndMS: length.Milliseconds(), EndedAt: recording.DeviceTime(ended.Format(time.RFC3339))},
	}
	_, err = s.app.StoreRecording(ctx, author, app.Delivered{ID: d.ID, Body: d.Encode(), Sent: recording.Sent{At: d.Closing.EndedAt}})
	return err
}

// trialLength is how long a trial with its consequence takes in the invented
// sessions.
const trialLength = 25 * time.Second

// trials spreads the misses over the session, in a fixed way.
func trials(sit sitting, kit newel.Kit) []recording.Trial {
	rest := sit.rest
	if rest == "" {
		rest = measure.Incorrect
	}
	list := make([]recording.Trial, sit.of)
	for i := range list {
		a := recording.Answer{Outcome: rest}
		// Bresenham's spacing: trial i is correct when the line steps up.
		if (i+1)*sit.correct/sit.of > i*sit.correct/sit.of {
			a = recording.Answer{Outcome: measure.Correct, Help: sit.help}
		}
		if sit.seconds > 0 {
			ms := int64(sit.seconds) * 1000
			a.LatencyMS = &ms
		}
		if len(kit.Targets) > 0 {
			a.Target = kit.Targets[i%len(kit.Targets)].Name
		}
		list[i] = recording.Trial{N: i + 1, Rev: 1, AtMS: (time.Duration(i+1) * trialLength).Milliseconds(), Answer: &a}
	}
	return list
}

func kitName(kit newel.Kit) recording.Kit {
	sum := sha256.Sum256([]byte(kit.Placement.String()))
	return recording.Kit{ID: kit.Placement.String(), Hash: hex.EncodeToString(sum[:])}
}
