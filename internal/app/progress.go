package app

import (
	"context"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/timezone"
)

// pageSessions limits a page to the newest sessions of an assignment.
const pageSessions = 400

// Progress returns one placement, open or ended.
func (a *App) Progress(ctx context.Context, actor newel.Actor, id newel.PlacementID) (p reading.Progress, err error) {
	err = a.upToDate(ctx, actor.Clinic, func() ([]newel.PlacementID, error) {
		err := a.act(ctx, actor, newel.SeeProgress, func(tx *postgres.Tx) error {
			if p, err = progressOf(ctx, tx, id); err != nil || !actor.Can(newel.SeeLearner) {
				return err
			}
			if err := addPlan(ctx, tx, &p); err != nil {
				return err
			}
			if p.Twins, err = twinsOf(ctx, tx, p.Placement.ID, newel.RecordingID{}); err != nil {
				return err
			}
			return untrained(ctx, tx, &p)
		})
		return p.Outdated, err
	})
	return p, err
}

func progressOf(ctx context.Context, tx *postgres.Tx, id newel.PlacementID) (p reading.Progress, err error) {
	if p.Placement, err = tx.Placement(ctx, id); err != nil {
		return p, err
	}
	if p.Assignment, err = tx.Assignment(ctx, p.Placement.AssignmentID); err != nil {
		return p, err
	}
	if p.Learner, err = tx.Learner(ctx, p.Assignment.LearnerID); err != nil {
		return p, err
	}
	if p.Family, err = tx.Family(ctx, p.Placement.FamilyID); err != nil {
		return p, err
	}
	if p.Placements, err = tx.Placements(ctx, p.Assignment.ID); err != nil {
		return p, err
	}
	if p.Decisions, err = tx.Decisions(ctx, p.Assignment.ID); err != nil {
		return p, err
	}
	if p.Verdicts, err = tx.Verdicts(ctx, p.Assignment.ID); err != nil {
		return p, err
	}
	if p.Fidelity, err = tx.Fidelity(ctx, p.Assignment.ID); err != nil {
		return p, err
	}
	if p.Talks, err = tx.Talks(ctx, p.Assignment.ID); err != nil {
		return p, err
	}
	if p.Assignment.State == newel.AssignmentResting {
		if p.LastNo, err = tx.LastNo(ctx, p.Assignment.ID); err != nil {
			return p, err
		}
	}
	if err := readStays(ctx, tx, &p); err != nil {
		return p, err
	}
	p.Met = reading.MetSteps(p.Placements, p.Decisions)
	p.Today = newel.DayOf(tx.Now(), timezone.OrUTC(p.Family.TimeZone))
	if p.Questions, err = tx.Questions(ctx, p.Assignment.ID); err != nil {
		return p, err
	}
	p.Group, p.Row, err = rowOf(ctx, tx, p.Placement)
	return p, err
}

// readStays fills in all placements of the assignment, and the page's own.
func readStays(ctx context.Context, tx *postgres.Tx, p *reading.Progress) error {
	rows, err := tx.AssignmentSessions(ctx, p.Assignment.ID, pageSessions)
	if err != nil {
		return err
	}
	sessions := map[newel.PlacementID][]newel.SessionRow{}
	for _, row := range rows {
		sessions[row.PlacementID] = append(sessions[row.PlacementID], row)
	}
	readings, err := tx.AssignmentReadings(ctx, p.Assignment.ID)
	if err != nil {
		return err
	}
	versions, err := versionsTaught(ctx, tx, p)
	if err != nil {
		return err
	}
	for _, at := range p.Placements {
		stay := reading.Stay{Placement: at, Version: versions[at.VersionID], Sessions: sessions[at.ID]}
		if strand, step := stay.Version.Document.Step(at.StepKey); step != nil {
			stay.Strand, stay.Step = *strand, step.With(p.Assignment.Overrides[step.Key])
		}
		for i := range readings {
			if readings[i].PlacementID == at.ID {
				if readings[i].Gist.Outdated() && !readings[i].Stale {
					p.Outdated = append(p.Outdated, at.ID)
				}
				stay.Said = reading.DecodeReading(readings[i].Body)
				if at.ID == p.Placement.ID {
					p.Reading = &readings[i]
				}
			}
		}
		if at.ID == p.Placement.ID {
			p.Version, p.Strand, p.Step, p.Said, p.Sessions = *stay.Version, stay.Strand, stay.Step, stay.Said, stay.Sessions
		}
		p.Stays = append(p.Stays, stay)
	}
	return nil
}

// versionsTaught returns the program versions used by the assignment so far.
func versionsTaught(ctx context.Context, tx *postgres.Tx, p *reading.Progress) (map[newel.VersionID]*program.Version, error) {
	versions := map[newel.VersionID]*program.Version{}
	for _, at := range p.Placements {
		if versions[at.VersionID] != nil {
			continue
		}
		v, err := tx.VersionOf(ctx, at.ID)
		if err != nil {
			return nil, err
		}
		versions[at.VersionID] = &v
	}
	return versions, nil
}

// rowOf returns an open placement as a caseload row.
func rowOf(ctx context.Context, tx *postgres.Tx, p newel.Placement) (reading.Group, newel.CaseloadRow, error) {
	row, err := tx.CaseloadRow(ctx, p.ID)
	if err != nil { // it has ended
		return reading.Quiet, row, ignore(err, newel.ErrNotFound)
	}
	return reading.GroupOf(row, tx.Now()), row, nil
}

// LearnerProgram is one program of a learner's page.
type LearnerProgram struct {
	newel.AssignmentRow
	Placements []newel.Placement
	Strands    []LearnerStrand
	Decisions  []newel.DecisionRow // newest first
}

// LearnerStrand is a strand with this learner's progress.
type LearnerStrand struct {
	Role      string
	Steps     []program.Step
	At        string // key of the current step; empty for none
	Placement *newel.Placement
	Met       map[string]bool
}

// LearnerPrograms lists a learner's current and past programs.
func (a *App) LearnerPrograms(ctx context.Context, actor newel.Actor, learner newel.LearnerID) (programs []LearnerProgram, err error) {
	err = a.act(ctx, actor, newel.SeeLearner, func(tx *postgres.Tx) error {
		if _, err := tx.Learner(ctx, learner); err != nil {
			return err
		}
		rows, err := tx.Assignments(ctx, learner)
		if err != nil {
			return err
		}
		for _, row := range rows {
			p, err := learnerProgram(ctx, tx, row)
			if err != nil {
				return err
			}
			programs = append(programs, p)
		}
		return nil
	})
	return programs, err
}

func learnerProgram(ctx context.Context, tx *postgres.Tx, row newel.AssignmentRow) (p LearnerProgram, err error) {
	p.AssignmentRow = row
	if p.Placements, err = tx.Placements(ctx, row.ID); err != nil || len(p.Placements) == 0 {
		return p, err
	}
	if p.Decisions, err = tx.Decisions(ctx, row.ID); err != nil {
		return p, err
	}
	met := reading.MetSteps(p.Placements, p.Decisions)
	version, err := tx.VersionOf(ctx, p.Placements[len(p.Placements)-1].ID)
	if err != nil {
		return p, err
	}
	for _, s := range version.Document.Strands {
		strand := LearnerStrand{Role: s.Role.Name, Steps: s.Steps, Met: met}
		for i := range p.Placements {
			if at := &p.Placements[i]; at.StrandKey == s.Key && at.EndedAt == nil {
				strand.At, strand.Placement = at.StepKey, at
			}
		}
		p.Strands = append(p.Strands, strand)
	}
	return p, nil
}
