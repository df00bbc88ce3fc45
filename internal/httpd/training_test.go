package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"newel/internal/htmlcheck"
	"newel/internal/newel"
	"newel/internal/program"
)

func (b *browser) read(id newel.TrainingID, assignment newel.AssignmentID, at, sent time.Time) *reply {
	b.t.Helper()
	return b.tell("/phone/reads/"+id.String(), assignment, at, sent)
}

// start returns the day's information on who may start the next step.
func (b *browser) start() program.DayStart {
	b.t.Helper()
	day := b.day("", "")
	if len(day.Learners) != 1 || day.Learners[0].Next == nil {
		b.t.Fatalf("day: %+v", day)
	}
	return day.Learners[0].Next.Start
}

// asksFor makes the current step require a training state.
func (b benchSite) asksFor(state newel.TrainingState) {
	b.World.Exec(b.t, `update version set document = jsonb_set(document, '{strands,0,steps,0,start_from}', to_jsonb(@state::text))`, pgx.NamedArgs{"state": string(state)})
}

// TestWhoMayStart checks that the day has everyone's training, and that a
// caregiver can record only having read it, a supervisor the rest.
func TestWhoMayStart(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	home := b.Bench.Home
	phone, desk, now := b.as(home.Caregiver), b.as(b.Bench.Supervisor), b.clock.Now()
	want := func(w program.DayStart) {
		t.Helper()
		if d := cmp.Diff(w, phone.start()); d != "" {
			t.Error(d)
		}
	}
	nobody := []newel.PersonID{}
	want(program.DayStart{From: newel.TrainingRead, Wanting: nobody}) // the other person has no phone and counts as having read it
	id := newel.NewID[newel.TrainingID]()
	first := phone.read(id, home.Assignment, now.Add(-time.Hour), now).want(http.StatusOK)
	if again := phone.read(id, home.Assignment, now.Add(-time.Hour), now).want(http.StatusOK); again.body != first.body {
		t.Errorf("sent again: %s", again.body)
	}
	want(program.DayStart{From: newel.TrainingRead, State: newel.TrainingRead, Wanting: nobody})
	phone.read(newel.NewID[newel.TrainingID](), b.Bench.NextDoor.Assignment, now, now).want(http.StatusNotFound)

	family := "/families/" + home.Family.String()
	page := desk.get(family).want(http.StatusOK).attr("section[aria-labelledby=training-head] a", "href")
	set := func(who newel.PersonID, state string) *reply {
		return desk.post(page, url.Values{"person": {who.String()}, "state": {state}, "note": {"with the cups from home"}})
	}
	set(home.Self, "").want(http.StatusUnprocessableEntity).check(
		htmlcheck.In("#person-"+home.Self.String()+" .error", htmlcheck.HasText("Choose a level")),
		htmlcheck.Count(`input[name="note"][value="with the cups from home"]`, 1))
	set(b.Bench.NextDoor.Self, "shown").want(http.StatusNotFound)
	set(home.Self, "shown").leads(page)
	phone.read(newel.NewID[newel.TrainingID](), home.Assignment, now, now).want(http.StatusOK) // lowers nothing
	b.asksFor(newel.TrainingPracticed)
	want(program.DayStart{From: newel.TrainingPracticed, State: newel.TrainingShown, Wanting: []newel.PersonID{home.Other}})
	desk.get(family).check(htmlcheck.Count(".trained .clay", 2))
	set(home.Other, "alone").leads(page)
	want(program.DayStart{From: newel.TrainingPracticed, State: newel.TrainingShown, Wanting: nobody})
	set(home.Self, "none").leads(page)
	want(program.DayStart{From: newel.TrainingPracticed, Wanting: nobody})
	desk.get(page).want(http.StatusOK).check(
		htmlcheck.In("#person-"+home.Self.String()+" details", htmlcheck.HasText("has been shown it"), htmlcheck.HasText("has read it")),
		htmlcheck.In("#person-"+home.Other.String(), htmlcheck.HasText("teaches it alone"), htmlcheck.HasText("Tomas"), htmlcheck.HasText("with the cups from home")))
	desk.get("/learners/" + home.Learner.String()).want(http.StatusOK).check(htmlcheck.In(".learnerprograms .trained", htmlcheck.HasText("Opah: teaches it alone")))
	desk.get("/learners/" + home.Learner.String() + "/assign").want(http.StatusOK)
	if n := b.count(`select count(*) from training`); n != 4 {
		t.Errorf("%d entries, want 4", n)
	}
}

// TestTaughtBeforeShown checks that a session without the required training is
// stored and counts, and that staff see a note until it turns out that she had
// read it before.
func TestTaughtBeforeShown(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	home := b.Bench.Home
	phone, desk := b.as(home.Caregiver), b.as(b.Bench.Supervisor)
	s := b.session("aaaaa")
	phone.putDocument(s.Document()).want(http.StatusCreated)
	if day := phone.day("", ""); len(day.Kits) != 1 {
		t.Errorf("%d kits", len(day.Kits))
	}
	page := "/placements/" + home.Placement.String()
	desk.get(page).want(http.StatusOK).check(htmlcheck.In(".now .flag", htmlcheck.HasText("Sari on"), htmlcheck.HasText("The session was kept and counts"), htmlcheck.HasText("anyone who has read")))
	if plain := phone.get("/progress/" + home.Placement.String()).want(http.StatusOK); strings.Contains(plain.body, "kept and counts") {
		t.Error("the family sees the note as well")
	}
	// The phone was offline: the reading arrives after the session that it
	// preceded.
	phone.read(newel.NewID[newel.TrainingID](), home.Assignment, s.Start.Add(-time.Minute), b.clock.Now()).want(http.StatusOK)
	desk.get(page).want(http.StatusOK).check(htmlcheck.NotIn(".now .flag"))
}

// TestChangedProcedure checks that a later version with a different procedure
// withdraws nothing, and that the pages mention it.
func TestChangedProcedure(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	home := b.Bench.Home
	desk := b.as(b.Bench.Supervisor)
	family := "/families/" + home.Family.String()
	page := desk.get(family).attr("section[aria-labelledby=training-head] a", "href")
	desk.post(page, url.Values{"person": {home.Self.String()}, "state": {"alone"}}).leads(page)
	newer := func(number int, path, to string) {
		b.World.Exec(t, `insert into version (clinic_id, id, program_id, number, document, hash, published_by)
			select clinic_id, gen_random_uuid(), program_id, @number::int, jsonb_set(document, @path::text[], to_jsonb(@to::text)), @hash, published_by from version order by number desc limit 1`,
			pgx.NamedArgs{"number": number, "path": "{" + path + "}", "to": to, "hash": to})
		b.World.Exec(t, `insert into step (clinic_id, version_id, key, strand, place) select s.clinic_id, v.id, s.key, s.strand, s.place
			from version v join step s on s.version_id = (select id from version where number = 1) where v.number = @number`, pgx.NamedArgs{"number": number})
		b.World.Exec(t, `update placement set version_id = (select id from version where number = @number)`, pgx.NamedArgs{"number": number})
	}
	newer(2, "purpose", "Another reason for it.")
	desk.get(page).check(htmlcheck.NotIn("article .clay"))
	newer(3, "procedure,help_rule", "At once, point.")
	desk.get(page).want(http.StatusOK).check(htmlcheck.In("#person-"+home.Self.String()+" .clay", htmlcheck.HasText("has changed since")))
	desk.get(family).check(htmlcheck.In(".trained .clay", htmlcheck.HasText("has changed since")))
	if start := b.as(home.Caregiver).start(); start.State != newel.TrainingAlone {
		t.Errorf("it was withdrawn: %+v", start)
	}
}
