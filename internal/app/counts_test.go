package app_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"newel/internal/app"
	"newel/internal/criterion"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/recording"
)

// record stores a session of five tries, changed before it is sent.
func (s *schoolhouse) record(t testing.TB, placement newel.PlacementID, hoursAgo int, marks string, change func(*recording.Document)) newel.RecordingID {
	t.Helper()
	d := fixture.Session{House: s.Home.Household(placement), Start: s.now.Add(-time.Duration(hoursAgo) * time.Hour), Marks: marks}.Document()
	change(&d)
	if _, err := s.app.StoreRecording(t.Context(), s.Home.Caregiver, app.Delivered{ID: d.ID, Body: d.Encode()}); err != nil {
		t.Fatal(err)
	}
	return d.ID
}

func (s *schoolhouse) progress(t testing.TB, placement newel.PlacementID) reading.Progress {
	t.Helper()
	p, err := s.app.Progress(t.Context(), s.Supervisor, placement)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// verified fails if a recomputed reading differs.
func (s *schoolhouse) verified(t testing.TB) {
	t.Helper()
	found, err := s.app.Verify(t.Context())
	if err != nil || len(found.Differences) > 0 || found.Readings == 0 {
		t.Errorf("verify: %+v, %v", found, err)
	}
}

// TestUnfitSessions checks that such sessions are stored but
// do not count until someone says that they do, and that a child's no in them
// is still a no.
func TestUnfitSessions(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	placement := s.assigned(t, fixture.WashingHands())["b1"]
	elsewhere := func(d *recording.Document) {
		d.Header.Unfit = recording.Rev(1, []newel.Condition{newel.FitsPlace})
	}
	as := func(*recording.Document) {}
	s.record(t, placement, 5, "aaaaa", as)
	other := s.record(t, placement, 4, "nnnnn", elsewhere)
	s.record(t, placement, 3, "aaaaa", func(d *recording.Document) {
		elsewhere(d)
		d.Header.EndedEarly = recording.Rev(1, recording.EndedDistress)
	})
	s.record(t, placement, 2, "aaaaa", as)
	p := s.progress(t, placement)
	var why []string
	for _, r := range p.Said.Sessions {
		why = append(why, string(r.Why))
	}
	if got := strings.Join(why, ","); got != ",unfit,unfit," || p.Said.Run.Have != 2 {
		t.Errorf("excluded for %s, run %+v", got, p.Said.Run)
	}
	if _, is := p.Said.Flag(criterion.Distress); !is {
		t.Error("the child's no was not seen")
	}
	if p.Row.Gist.Sessions != 4 || p.Row.Gist.Counted != 2 || p.Sessions[1].Of.Unfit[0] != newel.FitsPlace {
		t.Errorf("gist %+v, %+v", p.Row.Gist, p.Sessions[1])
	}
	s.verified(t)

	counts, err := recording.SetField("unfit", []byte("[]"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.app.Amend(t.Context(), s.Supervisor, app.NewForm(), app.AmendInput{Recording: other, Change: counts, Reason: "The same room, moved."}); err != nil {
		t.Fatal(err)
	}
	if p := s.progress(t, placement); !p.Said.Sessions[1].Counted || p.Said.Run.Have != 1 {
		t.Errorf("after counting it nevertheless: %+v", p.Said)
	}
	s.verified(t)
}

// naming assigns the targets to the trials in turn.
func naming(targets ...string) func(*recording.Document) {
	return func(d *recording.Document) {
		for i := range d.Trials {
			d.Trials[i].Answer.Target = targets[i%len(targets)]
		}
	}
}

func kitTargets(k program.Kit) string {
	var names []string
	for _, target := range k.Targets {
		names = append(names, target.Name)
	}
	names = append(names, "|")
	for _, target := range k.Known {
		names = append(names, target.Name)
	}
	return strings.Join(names, " ")
}

// TestTargetsOneByOne checks that each target starts when an earlier one is
// met, both on the phone and on the pages, and that the step is met with the
// last one.
func TestTargetsOneByOne(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	d := fixture.WashingHands()
	step := &d.Strands[0].Steps[0]
	step.Targets = []program.Target{{Key: "c", Name: "cup"}, {Key: "s", Name: "spoon"}, {Key: "f", Name: "fork"}}
	step.AtOnce, step.Criterion = 1, "100% independent in 2 sessions in a row, 3 or more trials"
	step.Order = program.Order{Rule: program.OrderRotation, Known: []string{"ball"}, KnownShare: 40}
	placement := s.assigned(t, d)["b1"]
	holds := func(want string, met int) {
		t.Helper()
		kit, err := s.app.Kit(t.Context(), s.Home.Caregiver, placement)
		if got := kitTargets(kit); err != nil || got != want || !kit.TrialByTrial {
			t.Errorf("kit %q, want %q: %v", got, want, err)
		}
		if p := s.progress(t, placement); p.Said.Run != (criterion.Run{Have: met, Need: 3}) {
			t.Errorf("run %+v, want %d", p.Said.Run, met)
		}
	}
	holds("cup | ball", 0)
	s.record(t, placement, 9, "aanaan", naming("c", "c", "ball"))
	s.record(t, placement, 8, "aana", naming("c", "c", "ball", "c"))
	holds("spoon | ball cup", 1)
	s.record(t, placement, 7, "aan", naming("s"))
	s.record(t, placement, 6, "aaana", naming("s", "s", "s", "c", "ball")) // a mastered target changes no percentage
	holds("spoon | ball cup", 1)
	s.record(t, placement, 5, "aaa", naming("s"))
	holds("fork | ball cup spoon", 2)
	c, err := s.app.Caseload(t.Context(), s.Supervisor, reading.CaseloadFilter{})
	if err != nil {
		t.Fatal(err)
	}
	for _, item := range c.Quiet {
		if len(item.Said.Targets) != 3 || len(item.Detail.Targets) != 3 || item.Said.Targets[2].State != criterion.TargetTaught {
			t.Errorf("row %+v", item.Said)
		}
	}
	s.record(t, placement, 4, "aaa", naming("f"))
	s.record(t, placement, 3, "aaa", naming("f"))
	if p := s.progress(t, placement); p.Said.Status != criterion.StatusMet || p.Group != reading.GroupMet {
		t.Errorf("all are met: %+v in %q", p.Said, p.Group)
	}
	s.verified(t)
}

// TestKnownTargetsDoNotCount covers targets with a shared criterion.
func TestKnownTargetsDoNotCount(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	d := fixture.WashingHands()
	d.Strands[0].Steps[0].Order = program.Order{Rule: program.OrderRotation, Known: []string{"ball"}, KnownShare: 50}
	placement := s.assigned(t, d)["b1"]
	s.record(t, placement, 2, "naaa", naming("cup", "ball"))
	if p := s.progress(t, placement); *p.Said.Sessions[0].Value != 50 {
		t.Errorf("%v, want 1 of 2", *p.Said.Sessions[0].Value)
	}
}

// TestPlannedHelpMoves checks that planned help changes only by a decision that
// the program's own rule suggests, and that the phone shows it.
func TestPlannedHelpMoves(t *testing.T) {
	t.Parallel()
	s := newSchoolhouse(t)
	d := fixture.WashingHands()
	d.HelpLevels = append(d.HelpLevels, program.HelpLevel{Name: "light touch", Touch: true})
	d.Procedure.LessHelp, d.Procedure.MoreHelp = "90% in 2 sessions in a row", "below 50% in 2 sessions in a row"
	d.Strands[0].Steps[0].PlannedHelp = "say"
	placement := s.assigned(t, d)["b1"]
	planned := func(level string) func(*recording.Document) {
		return func(d *recording.Document) { d.Header.PlannedHelp = recording.Rev(1, level) }
	}
	flags := func() string {
		var kinds []string
		for _, f := range s.progress(t, placement).Said.Flags {
			kinds = append(kinds, string(f.Kind))
		}
		return strings.Join(kinds, " ")
	}
	move := func(kind newel.DecisionKind, reason string) error {
		return s.decide(t, s.Supervisor, placement, app.DecisionInput{Kind: kind, Reason: reason, After: s.progress(t, placement).Latest()})
	}
	s.record(t, placement, 9, "22222", planned("say"))
	if got := flags(); got != "" {
		t.Errorf("after one session: %s", got)
	}
	s.record(t, placement, 8, "22122", planned("say"))
	p := s.progress(t, placement)
	if got := flags(); got != "less_help" || p.Group != reading.GroupAttention || len(p.Said.Flags[0].Sessions) != 2 || p.Placement.PlannedHelp != "say" {
		t.Errorf("flags %s in group %q, %+v", got, p.Group, p.Said)
	}
	s.verified(t)
	if err := move(newel.DecisionLessHelp, ""); err != nil {
		t.Fatalf("the rule is a sufficient reason: %v", err)
	}
	kit, err := s.app.Kit(t.Context(), s.Home.Caregiver, placement)
	if err != nil || kit.PlannedHelp != "point" {
		t.Errorf("the phone plans %q, %v", kit.PlannedHelp, err)
	}
	if p := s.progress(t, placement); flags() != "" || p.Group == reading.GroupAttention || p.Decisions[0].Help != "point" || !p.Open() {
		t.Errorf("after the decision: %s, %+v", flags(), p.Decisions[0])
	}
	s.record(t, placement, 7, "nnnnn", planned("point"))
	s.record(t, placement, 6, "nn2nn", planned("point"))
	if got := flags(); !strings.Contains(got, "more_help") {
		t.Errorf("flags %s", got)
	}
	s.verified(t)
	for _, to := range []string{"say", "show"} {
		if err := move(newel.DecisionMoreHelp, "It is too soon."); err != nil || s.progress(t, placement).Placement.PlannedHelp != to {
			t.Fatalf("more help to %s: %v", to, err)
		}
	}
	var invalid *newel.Invalid
	if err := move(newel.DecisionMoreHelp, "Even more."); !errors.As(err, &invalid) || invalid.Problems[0].Key != "decide.help_touch" {
		t.Errorf("touch that is not allowed: %v", err)
	}
	if err := move(newel.DecisionLessHelp, ""); !errors.As(err, &invalid) || invalid.Problems[0].Field != "reason" {
		t.Errorf("without rule or reason: %v", err)
	}
}
