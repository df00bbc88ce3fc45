package app

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/postgres"
)

// Caseload is what a supervisor sees first.
type Caseload struct {
	At     time.Time
	Zone   *time.Location // of the clinic
	Groups []CaseloadGroup
	Quiet  []CaseloadItem
}

// Asking counts the rows that ask for a decision.
func (c Caseload) Asking() int {
	n := 0
	for _, g := range c.Groups {
		n += len(g.Items)
	}
	return n
}

// CaseloadGroup holds the rows that ask for the same.
type CaseloadGroup struct {
	Group Group
	Items []CaseloadItem
}

// CaseloadItem is one row.
type CaseloadItem struct {
	newel.CaseloadRow
	Said     criterion.Reading
	Sessions []Session       // the latest, oldest first
	Steps    []newel.StepRow // of its strand
	Today    newel.Day       // in the family's zone
}

// Next gives the step after the one stood on, or nil.
func (i CaseloadItem) Next() *newel.StepRow { return i.step(1) }

// Previous gives the step before the one stood on, or nil.
func (i CaseloadItem) Previous() *newel.StepRow { return i.step(-1) }

func (i CaseloadItem) step(by int) *newel.StepRow {
	at := slices.IndexFunc(i.Steps, func(s newel.StepRow) bool { return s.Key == i.StepKey })
	if at < 0 || at+by < 0 || at+by >= len(i.Steps) {
		return nil
	}
	return &i.Steps[at+by]
}

// Session is a recording as the evaluator read it.
type Session struct {
	newel.SessionRow
	Of criterion.Session
}

// graphSessions is how many sessions a small graph holds.
const graphSessions = 10

// Caseload lists what is being taught in the actor's reach: what asks for a
// decision first, in groups, and then the rest.
func (a *App) Caseload(ctx context.Context, actor newel.Actor) (c Caseload, err error) {
	err = a.act(ctx, actor, newel.SeeCaseload, func(tx *postgres.Tx) error {
		rows, err := tx.CaseloadRows(ctx)
		if err != nil {
			return err
		}
		clinic, err := tx.Clinic(ctx)
		if err != nil {
			return err
		}
		items, err := caseloadItems(ctx, tx, rows)
		c = caseloadOf(items, tx.Now())
		c.Zone = location(clinic.TimeZone)
		return err
	})
	return c, err
}

func caseloadItems(ctx context.Context, tx *postgres.Tx, rows []newel.CaseloadRow) ([]CaseloadItem, error) {
	var placements []newel.PlacementID
	var versions []newel.VersionID
	for _, r := range rows {
		placements = append(placements, r.PlacementID)
		if !slices.Contains(versions, r.VersionID) {
			versions = append(versions, r.VersionID)
		}
	}
	steps, err := tx.StepsOf(ctx, versions)
	if err != nil {
		return nil, err
	}
	latest, err := tx.LatestSessions(ctx, placements, graphSessions)
	if err != nil {
		return nil, err
	}
	type strand struct {
		version newel.VersionID
		key     string
	}
	byStrand := map[strand][]newel.StepRow{}
	for _, s := range steps {
		byStrand[strand{s.VersionID, s.Strand}] = append(byStrand[strand{s.VersionID, s.Strand}], s)
	}
	byPlacement := map[newel.PlacementID][]Session{}
	for _, row := range latest {
		s, err := sessionOf(row)
		if err != nil {
			return nil, err
		}
		byPlacement[row.PlacementID] = append(byPlacement[row.PlacementID], s)
	}
	items := make([]CaseloadItem, len(rows))
	for i, r := range rows {
		items[i] = CaseloadItem{
			CaseloadRow: r, Said: said(r.Body), Sessions: byPlacement[r.PlacementID], Steps: byStrand[strand{r.VersionID, r.StrandKey}],
			Today: newel.DayOf(tx.Now(), location(r.TimeZone)),
		}
	}
	return items, nil
}

func sessionOf(row newel.SessionRow) (Session, error) {
	s := Session{SessionRow: row}
	if err := json.Unmarshal(row.Session, &s.Of); err != nil {
		return s, fmt.Errorf("kept session %s: %w", row.ID, err)
	}
	return s, nil
}

func caseloadOf(items []CaseloadItem, now time.Time) Caseload {
	c := Caseload{At: now}
	grouped := map[Group][]CaseloadItem{}
	for _, i := range items {
		g := groupOf(i.CaseloadRow, now)
		grouped[g] = append(grouped[g], i)
	}
	for _, g := range Groups {
		if len(grouped[g]) > 0 {
			c.Groups = append(c.Groups, CaseloadGroup{g, grouped[g]})
		}
	}
	c.Quiet = grouped[Quiet]
	return c
}
