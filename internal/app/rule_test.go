package app_test

import (
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
)

func byRule() program.Document {
	d := fixture.WashingHands()
	for i := range d.Strands[0].Steps {
		d.Strands[0].Steps[i].AdvanceByRule = true
	}
	return d
}

// A step with such a rule advances when the recording that meets it closes, in
// the name of the person who published the rule, and the family gets the next
// step.
func TestAdvanceByRule(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, byRule())["b1"]
	s.teach(t, first, "aaaan", "aaaaa")
	if keys(s.open(t)) != "b1" {
		t.Fatal("not met yet")
	}
	s.teach(t, first, "aaaa1")
	if got := keys(s.open(t)); got != "b2" {
		t.Fatalf("open: %s", got)
	}
	p, err := s.app.Progress(t.Context(), s.Supervisor, first)
	if err != nil || len(p.Decisions) != 1 {
		t.Fatalf("%+v, %v", p.Decisions, err)
	}
	d := p.Decisions[0]
	if !d.ByRule || d.Kind != newel.DecisionAdvance || d.DecidedByName != s.Lead.Name || len(d.Reading) == 0 || !d.Answered.Met() {
		t.Errorf("decision %+v", d)
	}
	day, err := s.app.PhoneDay(t.Context(), s.Home.Caregiver, app.PhoneReport{})
	if err != nil || len(day.Learners) != 1 || day.Learners[0].Next == nil || day.Learners[0].Next.Steps[day.Learners[0].Next.Here].Label != "B2" {
		t.Errorf("the family's day: %+v, %v", day.Learners, err)
	}
	for range 2 { // the background pass does nothing more
		if err := s.app.AdvanceByRule(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	if n := s.count(t, `select count(*) from decision where clinic_id = @clinic`, nil); n != 1 {
		t.Errorf("%d decisions", n)
	}
}

// Rules are off by default, and a last step is left for a person to end.
func TestNoRuleNoAdvance(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	s.teach(t, s.assigned(t, fixture.WashingHands())["b1"], "aaaaa", "aaaaa", "aaaaa")
	if keys(s.open(t)) != "b1" {
		t.Error("advanced without a rule")
	}
	last := newSchoolhouse(t)
	d := byRule()
	d.Strands[0].Steps = d.Strands[0].Steps[:1]
	last.teach(t, last.assigned(t, d)["b1"], "aaaaa", "aaaaa", "aaaaa")
	if keys(last.open(t)) != "b1" {
		t.Error("a rule ended the program")
	}
}

// While something needs a person's attention, a rule does nothing, and the
// caseload says what it is. Once it is settled, the rule advances the step.
func TestBlockedRules(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		before, settled string
		bar             reading.RuleBar
	}{
		"something waits": {
			`update reading set waiting = 1 where clinic_id = @clinic`, `update reading set waiting = 0 where clinic_id = @clinic`, reading.BarLate,
		},
		"the child said no": {
			`update assignment set state = 'resting' where clinic_id = @clinic`, `update assignment set state = 'active' where clinic_id = @clinic`, reading.BarSaidNo,
		},
		"a phone holds sessions": {
			`insert into device (clinic_id, id, account_id, token_hash, label, created_at, seen_on, unsent)
				values (@clinic, gen_random_uuid(), @caregiver, 'x', 'phone', now(), now()::date, array[gen_random_uuid()])`,
			`update device set unsent = '{}' where clinic_id = @clinic`, reading.BarUnsent,
		},
		"it differs by person": {
			`update reading set gist = jsonb_set(gist, '{flags}', '[{"kind": "differs_by_person", "sessions": []}]') where clinic_id = @clinic`,
			`update reading set gist = jsonb_set(gist, '{flags}', '[]') where clinic_id = @clinic`, reading.BarDiffers,
		},
		"something is in quarantine": {
			`insert into quarantine (clinic_id, id, account_id, placement_id, body, why, received_at)
				values (@clinic, gen_random_uuid(), @caregiver, @placement, '{}', 'no_access', now())`,
			`update quarantine set settled_at = now(), settled_by = @caregiver, outcome = 'set_aside' where clinic_id = @clinic`, reading.BarLate,
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSchoolhouse(t)
			first := s.assigned(t, fixture.WashingHands())["b1"]
			s.teach(t, first, "aaaaa", "aaaaa", "aaaaa")
			// Simulate a process that ended before the rule could advance the
			// step.
			s.Exec(t, `update reading set by_rule = true where clinic_id = @clinic`, nil)
			in := pgx.NamedArgs{"caregiver": s.Home.Caregiver.Account, "placement": first}
			s.Exec(t, c.before, in)
			if err := s.app.AdvanceByRule(t.Context()); err != nil || keys(s.open(t)) != "b1" {
				t.Fatalf("advanced nevertheless: %v", err)
			}
			load, err := s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{})
			if err != nil || len(load.Groups) != 1 || len(load.Groups[0].Items[0].Bars) != 1 || load.Groups[0].Items[0].Bars[0] != c.bar {
				t.Errorf("said: %+v, %v", load.Groups, err)
			}
			s.Exec(t, c.settled, in)
			if err := s.app.AdvanceByRule(t.Context()); err != nil || keys(s.open(t)) != "b2" {
				t.Errorf("settled, open: %s, %v", keys(s.open(t)), err)
			}
		})
	}
}

// Sessions held before a decision that arrive after it are reported, with what
// they would have changed. Nothing else changes.
func TestLateDataAreReported(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	s.now = s.now.Add(6 * time.Hour) // sessions never count as older than their placement
	s.teach(t, first, "aaaan", "aaaaa", "aaaa1")
	late := fixture.Session{House: s.Home.Household(first), Start: s.now.Add(-150 * time.Minute), Marks: "nnnnn"}.Document()
	if err := s.decide(t, s.Supervisor, first, app.DecisionInput{Kind: newel.DecisionAdvance}); err != nil {
		t.Fatal(err)
	}
	second := s.open(t)["b2"]
	s.now = s.now.Add(2 * time.Hour)
	if _, err := s.app.StoreRecording(t.Context(), s.Home.Caregiver, app.Delivered{ID: late.ID, Body: late.Encode()}); err != nil {
		t.Fatal(err)
	}
	c, err := s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{})
	if err != nil || len(c.Groups) != 1 || c.Groups[0].Group != reading.GroupRecord {
		t.Fatalf("%+v, %v", c.Groups, err)
	}
	l := c.Groups[0].Items[0].Late
	if l == nil || !l.Changes || l.Kind != newel.DecisionAdvance || l.Was != "met" || l.Now == "met" || len(l.Sessions) != 1 || l.Sessions[0] != late.ID {
		t.Errorf("late: %+v", l)
	}
	if keys(s.open(t)) != "b2" {
		t.Error("something changed")
	}
	for _, id := range []newel.PlacementID{second} {
		if err := s.decide(t, s.Supervisor, id, app.DecisionInput{Kind: newel.DecisionSeen}); err != nil {
			t.Fatal(err)
		}
	}
	s.now = s.now.Add(time.Minute)
	if c, err = s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{}); err != nil || len(c.Groups) != 0 {
		t.Errorf("seen: %+v, %v", c.Groups, err)
	}
}
