package app

import (
	"context"
	"fmt"

	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/timezone"
)

// Caseload lists what is being taught in the actor's reach: first what needs a
// decision, by group, then the rest. It uses the same few statements for any
// size and loads no recordings.
func (a *App) Caseload(ctx context.Context, actor newel.Actor, f reading.CaseloadFilter) (c reading.Caseload, err error) {
	err = a.upToDate(ctx, actor.Clinic, func() (outdated []newel.PlacementID, err error) {
		err = a.act(ctx, actor, newel.SeeCaseload, func(tx *postgres.Tx) error {
			rows, err := tx.CaseloadRows(ctx)
			if err != nil {
				return err
			}
			around, err := tx.CaseloadContext(ctx)
			if err != nil {
				return err
			}
			if err := reading.MarkStarts(rows, around); err != nil {
				return err
			}
			c = reading.Caseload{At: tx.Now(), Zone: timezone.OrUTC(around.TimeZone), Filter: f}
			shown := f.Rows(rows, around)
			outdated = reading.Outdated(shown, c.At, renewedAtOnce)
			c.Choices(rows, around)
			c.Arrange(shown, around)
			if err := addContext(ctx, tx, &c, around); err != nil {
				return err
			}
			return detail(ctx, tx, &c)
		})
		return outdated, err
	})
	return c, err
}

// addContext loads open incidents, waiting messages and agreed actions, if
// there are any.
func addContext(ctx context.Context, tx *postgres.Tx, c *reading.Caseload, around newel.CaseloadContext) (err error) {
	if c.Filter.Narrows() {
		return nil
	}
	c.Unread = around.Unread
	learned, err := tx.LearnedChecks(ctx)
	if err != nil {
		return err
	}
	c.Checks = reading.CheckItems(learned, c.At)
	if around.Happened > 0 {
		if c.Incidents, err = tx.OpenIncidents(ctx); err != nil {
			return err
		}
	}
	if around.Agreed > 0 {
		c.Agreed, err = tx.OpenActions(ctx, newel.OwnedByClinic)
	}
	return err
}

// detail loads what displayed rows need.
func detail(ctx context.Context, tx *postgres.Tx, c *reading.Caseload) error {
	var placements []newel.PlacementID
	var versions []newel.VersionID
	known := map[newel.VersionID]bool{}
	_ = c.Shown(func(i *reading.CaseloadItem) error {
		placements = append(placements, i.PlacementID)
		if !known[i.VersionID] {
			known[i.VersionID] = true
			versions = append(versions, i.VersionID)
		}
		return nil
	})
	details, err := tx.CaseloadDetails(ctx, placements)
	if err != nil {
		return err
	}
	steps, err := tx.StepsOf(ctx, versions)
	if err != nil {
		return err
	}
	byPlacement := map[newel.PlacementID]program.CaseloadDetail{}
	for _, d := range details {
		byPlacement[d.PlacementID] = d
	}
	type strand struct {
		version newel.VersionID
		key     string
	}
	byStrand := map[strand][]program.StepRow{}
	for _, s := range steps {
		byStrand[strand{s.VersionID, s.Strand}] = append(byStrand[strand{s.VersionID, s.Strand}], s)
	}
	return c.Shown(func(i *reading.CaseloadItem) error {
		i.Detail, i.Steps = byPlacement[i.PlacementID], byStrand[strand{i.VersionID, i.StrandKey}]
		i.Said = reading.DecodeReading(i.Detail.Body)
		for _, kept := range i.Detail.Latest {
			s, err := reading.RowOf(kept, i.Detail.People)
			if err != nil {
				return fmt.Errorf("latest of %s: %w", i.PlacementID, err)
			}
			i.Sessions = append(i.Sessions, s)
		}
		return nil
	})
}
