package app_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/reading"
)

// asByVersion1 turns the placement's stored reading into the one that version 1
// of the evaluator would have stored, with the given flags.
func (b *bench) asByVersion1(t *testing.T, flags string) {
	t.Helper()
	if _, err := b.DB.Bypass.Exec(t.Context(), `update reading set evaluator = 1, status = 'stalled',
		body = (body - 'progress' - 'evidence' - 'totals') #- '{estimate,session}' || jsonb_build_object('status', 'stalled', 'flags', @flags::jsonb),
		gist = (gist - 'evaluator') || jsonb_build_object('status', 'stalled', 'flags', @flags::jsonb) where placement_id = @placement`,
		pgx.NamedArgs{"flags": flags, "placement": b.Home.Placement}); err != nil {
		t.Fatal(err)
	}
}

// group returns the group in which the caseload shows the placement.
func (b *bench) group(t *testing.T) reading.Group {
	t.Helper()
	c, err := b.app.Caseload(t.Context(), b.Supervisor, reading.CaseloadFilter{})
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range c.Groups {
		for _, i := range g.Items {
			if i.PlacementID == b.Home.Placement {
				return g.Group
			}
		}
	}
	return reading.Quiet
}

func (b *bench) evaluator(t *testing.T) int {
	t.Helper()
	return one[int](t, b, `select evaluator from reading where placement_id = @placement`, pgx.NamedArgs{"placement": b.Home.Placement})
}

// TestDecisionsStayAnsweredAfterAnUpgrade: the supervisor has seen that version
// 1 called the step uneven. Version 2 calls the same sessions flat. The row
// stays quiet, and comes back after three more sessions.
func TestDecisionsStayAnsweredAfterAnUpgrade(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	teach := func(day int) {
		b.mustPut(t, b.Home.Caregiver, b.session("aannn", day).Document())
	}
	for i := range 14 {
		teach(i - 13)
	}
	b.asByVersion1(t, `[{"kind": "uneven", "sessions": []}]`)
	in := app.DecisionInput{Kind: newel.DecisionSeen, Reason: "He is ill this week."}
	if _, err := b.app.Decide(t.Context(), b.Supervisor, app.NewForm(), b.Home.Placement, in); err != nil {
		t.Fatal(err)
	}
	if got := b.evaluator(t); got != 1 {
		t.Fatalf("a decision had the placement evaluated by version %d", got)
	}
	if got := b.group(t); got != reading.Quiet {
		t.Errorf("after the upgrade: %q", got)
	}
	p, err := b.app.Progress(t.Context(), b.Supervisor, b.Home.Placement)
	if err != nil {
		t.Fatal(err)
	}
	if _, flat := p.Said.Flag(criterion.Flat); !flat || p.Said.Progress == nil || p.Reading.Evaluator != criterion.EvaluatorVersion {
		t.Errorf("read by version %d: %+v", p.Reading.Evaluator, p.Said)
	}
	if _, uneven := p.Decisions[0].Answered.Flag(criterion.Uneven); !uneven || p.Decisions[0].Answered.Evaluator != 0 {
		t.Errorf("the decision now answers %+v", p.Decisions[0].Answered)
	}
	for day := range 3 {
		if got := b.group(t); got != reading.Quiet {
			t.Errorf("after %d more sessions: %q", day, got)
		}
		b.now = func() time.Time { return evening.AddDate(0, 0, day+1).Add(20 * time.Minute) }
		teach(day + 1)
	}
	if got := b.group(t); got != reading.GroupAttention {
		t.Errorf("after three more sessions: %q", got)
	}
}

// TestReadingEvaluatesAgain checks that a stored reading of an earlier
// evaluator stays as it is until its placement is read, whichever page reads
// it.
func TestReadingEvaluatesAgain(t *testing.T) {
	t.Parallel()
	for name, read := range map[string]func(b *bench) error{
		"caseload": func(b *bench) error {
			_, err := b.app.Caseload(t.Context(), b.Supervisor, reading.CaseloadFilter{})
			return err
		},
		"progress": func(b *bench) error {
			_, err := b.app.Progress(t.Context(), b.Supervisor, b.Home.Placement)
			return err
		},
		"the family’s page": func(b *bench) error {
			p, err := b.app.Progress(t.Context(), b.Home.Caregiver, b.Home.Placement)
			if len(p.Said.Flags) > 0 {
				t.Errorf("the family still reads %+v", p.Said.Flags)
			}
			return err
		},
		"fidelity check": func(b *bench) error {
			_, _, err := b.app.FidelityForm(t.Context(), b.Supervisor, b.Home.Placement)
			return err
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			b := newBench(t)
			for i := range 9 {
				b.mustPut(t, b.Home.Caregiver, b.session("aannn", i-8).Document())
			}
			b.asByVersion1(t, `[{"kind": "flat", "sessions": []}]`)
			found, err := b.app.Verify(t.Context())
			if diff := cmp.Diff(map[int]int{1: 1}, found.Versions); diff != "" || err != nil || len(found.Differences) > 0 {
				t.Errorf("after the upgrade: %+v, %v", found, err)
			}
			if err := read(b); err != nil {
				t.Fatal(err)
			}
			if got := b.reading(t, b.Home); got.Status != "under_way" || b.evaluator(t) != criterion.EvaluatorVersion {
				t.Errorf("read: %+v", got)
			}
			found, err = b.app.Verify(t.Context())
			if diff := cmp.Diff(map[int]int{2: 1}, found.Versions); diff != "" || err != nil || len(found.Differences) > 0 {
				t.Errorf("after it was read: %+v, %v", found, err)
			}
		})
	}
}

// TestVerifyFindsTamperingWithEarlierReadings: what the rules have not changed
// since is compared.
func TestVerifyFindsTamperingWithEarlierReadings(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	for i, marks := range []string{"aaaan", "annnn", "a1123"} {
		b.mustPut(t, b.Home.Caregiver, b.session(marks, i-6).Document())
	}
	b.asByVersion1(t, `[]`)
	if _, err := b.DB.Bypass.Exec(t.Context(), `update reading set body = jsonb_set(body, '{run,have}', '2')`); err != nil {
		t.Fatal(err)
	}
	if found, err := b.app.Verify(t.Context()); err != nil || len(found.Differences) != 1 {
		t.Errorf("tampered: %+v, %v", found, err)
	}
}
