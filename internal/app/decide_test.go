package app_test

import (
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/criterion"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
)

func TestAssignReportsEverythingMissing(t *testing.T) {
	t.Parallel()
	ready := newel.Care{Alerts: newel.Alerts{Asked: true}, StopSigns: "turns away"}
	for name, c := range map[string]struct {
		care      newel.Care
		withdrawn string // kind of consent
		program   program.Document
		in        app.AssignInput
		want      []string
	}{
		"ready": {care: ready, program: fixture.WashingHands()},
		"consent to teaching withdrawn": {
			care: ready, withdrawn: "teaching", program: fixture.WashingHands(),
			want: []string{"learner assign.missing.consent_teaching"},
		},
		"consent to recording withdrawn": {
			care: ready, withdrawn: "recording", program: fixture.WashingHands(),
			want: []string{"learner assign.missing.consent_recording"},
		},
		"alerts not answered": {
			care: newel.Care{StopSigns: "turns away"}, program: fixture.WashingHands(),
			want: []string{"learner assign.missing.alerts"},
		},
		"no stop signs": {
			care: newel.Care{Alerts: newel.Alerts{Asked: true}}, program: fixture.WashingHands(),
			want: []string{"learner assign.missing.stop_signs"},
		},
		"nothing answered, and touch": {
			program: fixture.WhichCup(),
			want:    []string{"learner assign.missing.alerts", "learner assign.missing.stop_signs", "without_touch assign.touch_not_allowed"},
		},
		"touch not allowed":     {care: ready, program: fixture.WhichCup(), want: []string{"without_touch assign.touch_not_allowed"}},
		"touch removed":         {care: ready, program: fixture.WhichCup(), in: app.AssignInput{WithoutTouch: true}},
		"touch allowed":         {care: newel.Care{Alerts: ready.Alerts, StopSigns: "x", TouchAllowed: true}, program: fixture.WhichCup()},
		"planned touch":         {care: ready, program: plannedTouch(), in: app.AssignInput{WithoutTouch: true}, want: []string{"program assign.touch_needed"}},
		"no program was chosen": {care: ready, program: fixture.WashingHands(), in: app.AssignInput{Program: "none"}, want: []string{"program assign.choose"}},
		"an unknown program":    {care: ready, program: fixture.WashingHands(), in: app.AssignInput{Program: newel.NewID[newel.ProgramID]().String()}, want: []string{"program assign.choose"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSchoolhouse(t)
			s.SetCare(t, s.Home.Learner, c.care)
			if c.withdrawn != "" {
				s.Exec(t, `update consent set withdrawn_on = '2026-03-01' where learner_id = @l and kind = @k`, pgx.NamedArgs{"l": s.Home.Learner, "k": c.withdrawn})
			}
			v := s.Publish(t, c.program)
			in := c.in
			if in.Program == "" {
				in.Program = v.ProgramID.String()
			}
			location, err := s.app.Assign(t.Context(), s.Supervisor, app.NewForm(), s.Home.Learner, in)
			if diff := cmp.Diff(c.want, problemKeys(err)); diff != "" || (err == nil) != (c.want == nil) {
				t.Fatalf("err = %v\n%s", err, diff)
			}
			opened := s.count(t, `select count(*) from placement where family_id = @f`, pgx.NamedArgs{"f": s.Home.ID})
			if err == nil && (opened != 1 || location != "/learners/"+s.Home.Learner.String()) || err != nil && opened != 0 {
				t.Errorf("%d placements opened, to %q", opened, location)
			}
		})
	}
}

func plannedTouch() program.Document {
	d := fixture.WhichCup()
	d.Strands[0].Steps[0].PlannedHelp = "light touch"
	return d
}

// assigned assigns a program to the learner of Home and returns the open
// placements by step.
func (s *schoolhouse) assigned(t testing.TB, d program.Document) map[string]newel.PlacementID {
	t.Helper()
	v := s.Publish(t, d)
	_, err := s.app.Assign(t.Context(), s.Supervisor, app.NewForm(), s.Home.Learner, app.AssignInput{Program: v.ProgramID.String(), WithoutTouch: true})
	if err != nil {
		t.Fatal(err)
	}
	return s.open(t)
}

// open returns the open placements of Home by step key.
func (s *schoolhouse) open(t testing.TB) map[string]newel.PlacementID {
	t.Helper()
	rows, err := s.DB.Bypass.Query(t.Context(), `select step_key, id from placement where family_id = $1 and ended_at is null`, s.Home.ID)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]newel.PlacementID{}
	var key string
	var id newel.PlacementID
	if _, err := pgx.ForEachRow(rows, []any{&key, &id}, func() error { out[key] = id; return nil }); err != nil {
		t.Fatal(err)
	}
	return out
}

// teach records a session for each mark text, an hour apart, the last one an
// hour ago.
func (s *schoolhouse) teach(t testing.TB, placement newel.PlacementID, marks ...string) {
	t.Helper()
	for i, m := range marks {
		d := fixture.Session{House: s.Home.Household(placement), Start: s.now.Add(-time.Duration(len(marks)-i) * time.Hour), Marks: m}.Document()
		if _, err := s.app.StoreRecording(t.Context(), s.Home.Caregiver, app.Delivered{ID: d.ID, Body: d.Encode()}); err != nil {
			t.Fatal(err)
		}
	}
}

func (s *schoolhouse) decide(t testing.TB, who newel.Actor, placement newel.PlacementID, in app.DecisionInput) error {
	t.Helper()
	_, err := s.app.Decide(t.Context(), who, app.NewForm(), placement, in)
	return err
}

func keys(m map[string]newel.PlacementID) string {
	var out []string
	for _, key := range []string{"b1", "b2", "b3", "f1", "f2", "h1", "j1"} {
		if _, ok := m[key]; ok {
			out = append(out, key)
		}
	}
	return strings.Join(out, " ")
}

func TestAssigningTwiceIsRefused(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	v := s.Publish(t, fixture.WashingHands())
	in := app.AssignInput{Program: v.ProgramID.String()}
	form := app.NewForm()
	for range 2 { // resubmitting the form changes nothing
		if _, err := s.app.Assign(t.Context(), s.Supervisor, form, s.Home.Learner, in); err != nil {
			t.Fatal(err)
		}
	}
	_, err := s.app.Assign(t.Context(), s.Supervisor, app.NewForm(), s.Home.Learner, in)
	if diff := cmp.Diff([]string{"program assign.already"}, problemKeys(err)); diff != "" {
		t.Error(diff)
	}
	if _, err := s.app.Assign(t.Context(), s.Supervisor, app.NewForm(), s.NextDoor.Learner, in); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("a learner out of reach: %v", err)
	}
}

func TestMetStepIsListedAndAdvanceOpensTheNext(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	s.teach(t, first, "aaaan", "aaaaa", "aaaa1")
	c, err := s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Groups) != 1 || c.Groups[0].Group != reading.GroupMet || len(c.Groups[0].Items) != 1 || len(c.Quiet) != 0 {
		t.Fatalf("caseload = %+v", c)
	}
	row := c.Groups[0].Items[0]
	if row.Learner != "Rami" || row.Said.Status != criterion.StatusMet || len(row.Sessions) != 3 || row.Next().Label != "B2" || row.Previous() != nil {
		t.Errorf("row = %+v", row)
	}
	if err := s.decide(t, s.Supervisor, first, app.DecisionInput{Kind: newel.DecisionAdvance, Expected: "two weeks", ExpectedBy: "2026-03-26"}); err != nil {
		t.Fatal(err)
	}
	open := s.open(t)
	if keys(open) != "b2" {
		t.Fatalf("open: %v", open)
	}
	p, err := s.app.Progress(t.Context(), s.Supervisor, first)
	if err != nil {
		t.Fatal(err)
	}
	d := p.Decisions[0]
	if p.Open() || !p.Met["b1"] || d.NextPlacement == nil || *d.NextPlacement != open["b2"] || d.DecidedByName != s.Supervisor.Name || d.ExpectedBy.String() != "2026-03-26" {
		t.Errorf("decision = %+v", d)
	}
	var rested criterion.Reading
	if rested = readingOf(t, d.Reading); rested.Status != criterion.StatusMet || rested.Run.Have != 3 {
		t.Errorf("it was based on %+v", rested)
	}
	next, err := s.app.Progress(t.Context(), s.Supervisor, open["b2"])
	if err != nil || next.Placement.Criterion != "80% independent in 3 sessions in a row" || next.Placement.StepBack != "below 50% independent in 2 sessions in a row" || next.Reading == nil {
		t.Errorf("next = %+v, %v", next.Placement, err)
	}
	if c, err = s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{}); err != nil || len(c.Groups) != 0 || len(c.Quiet) != 1 {
		t.Errorf("the row should be quiet after the decision: %+v", c)
	}
}

func TestAdvanceOpensRolesAndTheLastStepFinishes(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	s.assigned(t, fixture.WhichCup())
	for _, c := range []struct{ step, open, state string }{
		{"", "f1", "active"},
		{"f1", "f2 h1", "active"},
		{"f2", "h1", "active"},
		{"h1", "j1", "active"},
		{"j1", "", "finished"},
	} {
		if c.step != "" {
			if err := s.decide(t, s.Supervisor, s.open(t)[c.step], app.DecisionInput{Kind: newel.DecisionAdvance, Reason: "seen in the call"}); err != nil {
				t.Fatal(err)
			}
		}
		if got := keys(s.open(t)); got != c.open {
			t.Fatalf("after %q open: %q, want %q", c.step, got, c.open)
		}
		if n := s.count(t, `select count(*) from assignment where family_id = @f and state = @s`, pgx.NamedArgs{"f": s.Home.ID, "s": c.state}); n != 1 {
			t.Errorf("after %q it is not %s", c.step, c.state)
		}
	}
}

func TestInvalidDecisions(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	for name, c := range map[string]struct {
		in   app.DecisionInput
		want string
	}{
		"nothing chosen":                          {app.DecisionInput{}, "kind decide.choose"},
		"revise without a reason":                 {app.DecisionInput{Kind: newel.DecisionRevise}, "reason field.required"},
		"unknown kind":                            {app.DecisionInput{Kind: "dance", Reason: "x"}, "kind decide.choose"},
		"advance without met criterion or reason": {app.DecisionInput{Kind: newel.DecisionAdvance}, "reason field.required"},
		"hold without a reason":                   {app.DecisionInput{Kind: newel.DecisionHold}, "reason field.required"},
		"step back from the first":                {app.DecisionInput{Kind: newel.DecisionStepBack, To: "b1", Reason: "x"}, "to decide.no_earlier_step"},
		"step back to a later step":               {app.DecisionInput{Kind: newel.DecisionStepBack, To: "b2", Reason: "x"}, "to decide.no_earlier_step"},
		"resume what is not paused":               {app.DecisionInput{Kind: newel.DecisionResume}, "kind decide.not_paused"},
		"no date":                                 {app.DecisionInput{Kind: newel.DecisionSeen, ExpectedBy: "soon"}, "expected_by field.date"},
		"much too long":                           {app.DecisionInput{Kind: newel.DecisionSeen, Reason: strings.Repeat("🙂", newel.MaxNote+1)}, "reason field.too_long"},
	} {
		err := s.decide(t, s.Supervisor, first, c.in)
		if diff := cmp.Diff([]string{c.want}, problemKeys(err)); diff != "" {
			t.Errorf("%s: %v\n%s", name, err, diff)
		}
	}
	for name, c := range map[string]struct {
		who  newel.Actor
		want error
	}{
		"trainee":      {s.Trainee, newel.ErrForbidden},
		"office":       {s.Office, newel.ErrForbidden},
		"caregiver":    {s.Home.Caregiver, newel.ErrForbidden},
		"other clinic": {fixture.Clinic(t, s.DB).Lead, newel.ErrNotFound},
	} {
		if err := s.decide(t, c.who, first, app.DecisionInput{Kind: newel.DecisionSeen}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if n := s.count(t, `select count(*) from decision where clinic_id = @clinic`, nil); n != 0 {
		t.Errorf("%d decisions were kept", n)
	}
}

func TestPauseAndResumeAndFinish(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	state := func() newel.AssignmentState {
		p, err := s.app.Progress(t.Context(), s.Supervisor, first)
		if err != nil {
			t.Fatal(err)
		}
		return p.Assignment.State
	}
	after := func() string {
		p, _ := s.app.Progress(t.Context(), s.Supervisor, first)
		return p.Latest()
	}
	for _, c := range []struct {
		kind newel.DecisionKind
		want newel.AssignmentState
	}{
		{newel.DecisionPause, newel.AssignmentPaused},
		{newel.DecisionSeen, newel.AssignmentPaused},
		{newel.DecisionResume, newel.AssignmentActive},
		{newel.DecisionFinish, newel.AssignmentFinished},
	} {
		s.now = s.now.Add(time.Minute)
		if err := s.decide(t, s.Supervisor, first, app.DecisionInput{Kind: c.kind, Reason: "holiday", After: after()}); err != nil {
			t.Fatalf("%s: %v", c.kind, err)
		}
		if got := state(); got != c.want {
			t.Errorf("after %s it is %s, want %s", c.kind, got, c.want)
		}
	}
	if len(s.open(t)) != 0 {
		t.Error("a placement is still open")
	}
}

func TestConcurrentDecisionsOneWins(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	s.teach(t, first, "aaaan", "aaaaa", "aaaa1")
	who := []newel.Actor{s.Supervisor, s.Lead, s.Supervisor, s.Lead}
	errs := make([]error, len(who))
	var wg sync.WaitGroup
	for i := range who {
		wg.Go(func() {
			kind := newel.DecisionAdvance
			if i%2 == 1 {
				kind = newel.DecisionFinish
			}
			errs[i] = s.decide(t, who[i], first, app.DecisionInput{Kind: kind, Reason: "met"})
		})
	}
	wg.Wait()
	won := -1
	for i, err := range errs {
		if err == nil {
			if won >= 0 {
				t.Fatal("two decisions were taken")
			}
			won = i
		}
	}
	if won < 0 {
		t.Fatalf("no decision succeeded: %v", errs)
	}
	for i, err := range errs {
		var meanwhile *app.DecidedMeanwhile
		switch {
		case i == won:
		case !errors.As(err, &meanwhile) || !errors.Is(err, newel.ErrConflict):
			t.Errorf("err = %v", err)
		case meanwhile.Decision.DecidedByName != who[won].Name || won%2 == 0 && meanwhile.StepTitle != "B2":
			t.Errorf("reported %+v", meanwhile)
		}
	}
	if n := s.count(t, `select count(*) from decision where clinic_id = @clinic`, nil); n != 1 {
		t.Errorf("%d decisions", n)
	}
}

func TestDecidingTwice(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	form, in := app.NewForm(), app.DecisionInput{Kind: newel.DecisionAdvance, Reason: "seen in the call"}
	one, err := s.app.Decide(t.Context(), s.Supervisor, form, first, in)
	if err != nil {
		t.Fatal(err)
	}
	if two, err := s.app.Decide(t.Context(), s.Supervisor, form, first, in); err != nil || two != one {
		t.Errorf("the same form again: %q, %v", two, err)
	}
	var meanwhile *app.DecidedMeanwhile
	if err := s.decide(t, s.Supervisor, first, in); !errors.As(err, &meanwhile) {
		t.Errorf("another form: %v", err)
	}
	// A decision that leaves the placement open counts as seen only if the page
	// showed it.
	second := s.open(t)["b2"]
	if err := s.decide(t, s.Lead, second, app.DecisionInput{Kind: newel.DecisionHold, Reason: "wait for the call"}); err != nil {
		t.Fatal(err)
	}
	if err := s.decide(t, s.Supervisor, second, app.DecisionInput{Kind: newel.DecisionSeen}); !errors.As(err, &meanwhile) || meanwhile.Decision.Kind != newel.DecisionHold {
		t.Errorf("err = %v", err)
	}
	if err := s.decide(t, s.Supervisor, second, app.DecisionInput{Kind: newel.DecisionSeen, After: meanwhile.Decision.ID.String()}); err != nil {
		t.Errorf("having seen it: %v", err)
	}
}

func TestKit(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WhichCup())["f1"]
	kit, err := s.app.Kit(t.Context(), s.Home.Caregiver, first)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"point", "say", "show"}, kit.HelpLevels); diff != "" {
		t.Errorf("touch is not allowed for this child:\n%s", diff)
	}
	if kit.Learner != "Rami" || kit.StopSigns == "" || kit.Self == nil || *kit.Self != s.Home.Person || len(kit.People) != 2 {
		t.Errorf("kit = %+v", kit)
	}
	if _, err := s.app.Kit(t.Context(), s.NextDoor.Caregiver, first); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("the neighbours: %v", err)
	}
	if err := s.decide(t, s.Supervisor, first, app.DecisionInput{Kind: newel.DecisionAdvance, Reason: "x"}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.app.Kit(t.Context(), s.Home.Caregiver, first); !errors.Is(err, newel.ErrGone) {
		t.Errorf("an ended one: %v", err)
	}
}

func TestFamilySeesItsProgressAndNoOther(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	first := s.assigned(t, fixture.WashingHands())["b1"]
	s.teach(t, first, "aaaan")
	p, err := s.app.Progress(t.Context(), s.Home.Caregiver, first)
	if err != nil || len(p.Sessions) != 1 || p.Version.Document.Title != "Washing hands" {
		t.Errorf("own: %+v, %v", p, err)
	}
	for name, who := range map[string]newel.Actor{"neighbour": s.NextDoor.Caregiver, "other clinic": fixture.Clinic(t, s.DB).Lead} {
		if _, err := s.app.Progress(t.Context(), who, first); !errors.Is(err, newel.ErrNotFound) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := s.app.LearnerPrograms(t.Context(), s.Home.Caregiver, s.Home.Learner); !errors.Is(err, newel.ErrForbidden) {
		t.Errorf("the staff's page: %v", err)
	}
	programs, err := s.app.LearnerPrograms(t.Context(), s.Trainee, s.Home.Learner)
	if err != nil || len(programs) != 1 || programs[0].Strands[0].At != "b1" {
		t.Errorf("the learner's programs: %+v, %v", programs, err)
	}
}
