package httpd

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/recording"
)

// TestPhoneDay checks that the day has what Today, How to teach and the
// recorder need, only for the own family, with the hash that recordings refer
// to.
func TestPhoneDay(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	home := b.Bench.Home
	phone := b.as(home.Caregiver)
	day := phone.day("", "")
	if day.Contract != program.DayContract || day.Account != home.Caregiver.Account || day.Name != "Sari" || day.Device == "" || day.Today.String() != "2026-03-12" {
		t.Errorf("day: %+v", day)
	}
	if len(day.Learners) != 1 || len(day.Kits) != 1 {
		t.Fatalf("%d learners, %d kits", len(day.Learners), len(day.Kits))
	}
	l := day.Learners[0]
	if l.Nickname != "Kavi" || l.StopSigns != "Covers both eyes" || l.Alerts.Allergy != "groundnuts" || l.Next == nil {
		t.Fatalf("learner: %+v", l)
	}
	if o := l.Next; o.Assignment != home.Assignment || o.Placement != home.Placement || o.Title != "Which cup?" || o.Role != "Finder" || o.Trials != 5 || o.Minutes != 4 || len(o.Steps) != 2 || o.Here != 0 {
		t.Errorf("next: %+v", *l.Next)
	}
	kit := phone.get("/kits/" + home.Placement.String()).want(http.StatusOK)
	if inDay, _, err := day.Kits[0].Kit.Body(); err != nil || string(inDay) != kit.body || day.Kits[0].Hash != kit.header.Get(kitHash) || day.Kits[0].Hash != recording.Sum([]byte(kit.body)) {
		t.Errorf("the kit of the day is not the kit: %s", inDay)
	}
	raw := phone.get("/phone/day").body
	if !strings.Contains(raw, kit.body) {
		t.Error("the kit is not included byte for byte")
	}
	for _, secret := range []string{"Wren", "Orla", b.Bench.NextDoor.Family.String()} {
		if strings.Contains(raw, secret) {
			t.Errorf("the day shows %s of another family", secret)
		}
	}
	if again := phone.day("", ""); again.SealKey != day.SealKey || day.SealKey.Curve != "P-256" {
		t.Errorf("another key: %+v, %+v", again.SealKey, day.SealKey)
	}
	if lead := b.as(b.Bench.Lead).day("", ""); len(lead.Learners) != 0 || lead.Device != "" || lead.SealKey != day.SealKey {
		t.Errorf("a lead's day: %+v", lead)
	}
	phone.get("/kits/" + b.Bench.NextDoor.Placement.String()).want(http.StatusNotFound)
}

// TestPhonePausesAfterANo checks that the program is paused in the day after a no, and
// is not offered.
func TestPhonePausesAfterANo(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	home := b.Bench.Home
	phone := b.as(home.Caregiver)
	s := b.session("ad")
	s.Distress = true
	phone.putDocument(s.Document()).want(http.StatusCreated)
	rests := func() bool {
		l := phone.day("", "").Learners[0]
		if (l.Next == nil) != (len(l.Resting) == 1) || len(l.Others) != 0 {
			t.Errorf("neither paused nor offered: %+v", l)
		}
		return l.Next == nil
	}
	if !rests() {
		t.Fatal("not paused")
	}
	if day := phone.day("", ""); len(day.Kits) != 1 {
		t.Error("no kit for reading how to teach it")
	}
	id := newel.NewID[newel.TalkID]()
	after := s.Start.Add(5 * time.Minute)
	first := phone.talk(id, home.Assignment, after, b.clock.Now())
	if !first.Rests || first.ID != id || !rests() {
		t.Errorf("a talk lifted the pause: %+v", first)
	}
	if second := phone.talk(id, home.Assignment, after, b.clock.Now()); second != first {
		t.Errorf("the talk, sent again: %+v", second)
	}
	if n := b.count(`select count(*) from talk`); n != 1 {
		t.Errorf("%d talks stored, want 1", n)
	}
	if n := b.count(`select count(*) from audit where deed = 'assignment.talked_about'`); n != 1 {
		t.Errorf("%d audit entries, want 1", n)
	}
	// A phone whose clock is a year behind but steady: by its clock it was five
	// minutes ago.
	late := newel.NewID[newel.TalkID]()
	phone.talk(late, home.Assignment, b.clock.Now().AddDate(-1, 0, 0).Add(-5*time.Minute), b.clock.Now().AddDate(-1, 0, 0))
	if n := b.count(`select count(*) from talk where talked_at = $1`, b.clock.Now().Add(-5*time.Minute)); n != 1 {
		t.Error("a wrong clock gave the talk a wrong time")
	}
}

// TestTalkRefusals checks that a talk out of reach is not found, and that
// invalid input is reported.
func TestTalkRefusals(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	phone := b.as(b.Bench.Home.Caregiver)
	id := newel.NewID[newel.TalkID]().String()
	good := `{"assignment": "` + b.Bench.Home.Assignment.String() + `", "at": "2026-03-12T17:00:00+08:00"}`
	foreign := strings.Replace(good, b.Bench.Home.Assignment.String(), b.Bench.NextDoor.Assignment.String(), 1)
	for name, c := range map[string]struct {
		path, kind, body string
		status           int
		error            string
	}{
		"next door":   {id, "application/json", foreign, http.StatusNotFound, "not_found"},
		"no time":     {id, "application/json", strings.Replace(good, "2026-03-12T17:00:00+08:00", "soon", 1), http.StatusUnprocessableEntity, "invalid"},
		"not JSON":    {id, "application/json", "soon", http.StatusUnprocessableEntity, "invalid"},
		"a form":      {id, formKind, good, http.StatusUnsupportedMediaType, "media_type"},
		"not an id":   {"one", "application/json", good, http.StatusNotFound, "not_found"},
		"unknown id":  {"6f9619ff-8b86-4d01-b42d-00cf4fc964ff", "application/json", good, http.StatusUnprocessableEntity, "invalid"},
		"two lines":   {newel.NewID[newel.TalkID]().String(), "application/json", strings.Replace(good, "}", `, "line": "tired\nhungry"}`, 1), http.StatusUnprocessableEntity, "invalid"},
		"too long":    {newel.NewID[newel.TalkID]().String(), "application/json", strings.Replace(good, "}", `, "line": "`+strings.Repeat("x", newel.MaxLine+1)+`"}`, 1), http.StatusUnprocessableEntity, "invalid"},
		"nothing":     {id, "application/json", "{}", http.StatusUnprocessableEntity, "invalid"},
		"the control": {id, "application/json", good, http.StatusOK, ""},
	} {
		p := phone.put("/phone/talks/"+c.path, c.kind, strings.NewReader(c.body))
		if got := p.problem(); p.status != c.status || got.Error != c.error {
			t.Errorf("%s: %d %s", name, p.status, p.body)
		}
	}
	for field, body := range map[string]string{
		"place":      strings.Replace(good, "{", `{"place": "home", `, 1),
		"At":         strings.Replace(good, `"at"`, `"At"`, 1),
		"at":         strings.Replace(good, "}", `, "at": "2026-03-12T17:00:00+08:00"}`, 1),
		"assignment": strings.Replace(good, b.Bench.Home.Assignment.String(), "mine", 1),
		"":           good + good,
	} {
		p := phone.put("/phone/talks/"+id, "application/json", strings.NewReader(body))
		if got := p.problem(); p.status != http.StatusUnprocessableEntity || got.Error != "invalid" || got.Path != field || got.Problem == "" {
			t.Errorf("%s: %d %s; want %q named", body, p.status, p.body, field)
		}
	}
	many := strings.Repeat("id="+id+"&", recording.MaxChecked+1)
	if p := phone.get("/phone/receipts?" + many); p.status != http.StatusUnprocessableEntity {
		t.Errorf("too many asked: %d", p.status)
	}
	if p := phone.get("/phone/receipts?id=mine"); p.status != http.StatusUnprocessableEntity || p.problem().Path != "id[0]" {
		t.Errorf("no id asked: %d %s", p.status, p.body)
	}
}

// tell sends what someone did about an assignment, as a phone does.
func (b *browser) tell(path string, assignment newel.AssignmentID, at, sent time.Time) *reply {
	b.t.Helper()
	r := httptest.NewRequest(http.MethodPut, path, strings.NewReader(`{"assignment": "`+assignment.String()+`", "at": "`+string(shown(at))+`"}`))
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	r.Header.Set(recording.SentHeader, string(shown(sent)))
	return b.send(r)
}

func (b *browser) talk(id newel.TalkID, assignment newel.AssignmentID, at, sent time.Time) newel.Talked {
	b.t.Helper()
	var out newel.Talked
	if p := b.tell("/phone/talks/"+id.String(), assignment, at, sent).want(http.StatusOK); decodeStrictly([]byte(p.body), &out) != nil {
		b.t.Fatal(p.body)
	}
	return out
}

// TestSealedDelivery checks that a sealed document counts as the document
// inside; sealed twice it is two bodies of one recording.
func TestSealedDelivery(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	phone := b.as(b.Bench.Home.Caregiver)
	d := b.session("aa1n").Document()
	path := "/recordings/" + d.ID.String()
	one, two := phone.seal(d), phone.seal(d)
	first := told.mustBody(t, phone, path, recording.SealedMediaType, one)
	if !first.Closed || first.SafeThrough != 4 {
		t.Errorf("%+v", first)
	}
	if again := told.mustBody(t, phone, path, recording.SealedMediaType, one); again != first {
		t.Errorf("a different receipt for the same body: %+v", again)
	}
	told.mustBody(t, phone, path, recording.SealedMediaType, two)
	told.must(t, phone, d)
	told.check(t, b)
	if n := b.count(`select count(*) from recording where needs_person`) + b.count(`select trials from recording`); n != 4 {
		t.Errorf("not the same session: %d", n)
	}
	var s recording.Sealed
	if err := json.Unmarshal(one, &s); err != nil {
		t.Fatal(err)
	}
	spoil := func(change func(*recording.Sealed)) []byte {
		bad := s
		change(&bad)
		raw, err := json.Marshal(bad)
		if err != nil {
			t.Fatal(err)
		}
		return raw
	}
	for at, body := range map[string][]byte{
		"key":  spoil(func(s *recording.Sealed) { s.Key = newel.NewID[newel.PhoneKeyID]() }),
		"id":   spoil(func(s *recording.Sealed) { s.ID = newel.NewID[newel.RecordingID]() }),
		"data": spoil(func(s *recording.Sealed) { s.Data = s.Data[:len(s.Data)-4] + "AAAA" }),
		"iv":   spoil(func(s *recording.Sealed) { s.IV = "AAAA" }),
	} {
		if p := phone.putSealed(d, body); p.status != http.StatusUnprocessableEntity || p.problem().Path != at {
			t.Errorf("%s: %d %s", at, p.status, p.body)
		}
	}
}

// TestLargestSealed checks that the largest possible document can be sealed.
func TestLargestSealed(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	phone := b.as(b.Bench.Home.Caregiver)
	d := b.session(strings.Repeat("a", recording.MaxTrials)).Document()
	fill := strings.Repeat("x", 190)
	for i := range d.Trials {
		d.Trials[i].Answer.Target, d.Trials[i].Answer.Help = fill, fill
	}
	if n := len(d.Encode()); n > recording.MaxBody || n < recording.MaxBody*8/10 {
		t.Fatalf("a document of %d bytes proves little", n)
	}
	phone.putSealed(d, phone.seal(d)).want(http.StatusCreated)
	if p := phone.putSealed(d, make([]byte, recording.MaxSealed+1)); p.status != http.StatusRequestEntityTooLarge {
		t.Errorf("too large: %d", p.status)
	}
}

// TestRescue checks that the author's recordings are stored, and others are
// quarantined if the sender settles quarantined sessions; each item reports its
// outcome.
func TestRescue(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	phone, other := b.as(b.Bench.Home.Caregiver), b.as(b.Bench.NextDoor.Caregiver)
	mine := b.session("aan").Document()
	next := fixture.Session{House: b.Bench.NextDoor, Start: b.session("").Start, Marks: "n"}.Document()
	erased := b.session("a").Document()
	b.exec(`insert into tombstone values ($1, $2, now())`, b.Bench.Clinic, erased.ID)
	file := `{"contract": 1, "sealed": [` + strings.Join([]string{
		string(phone.seal(mine)), string(other.seal(next)), string(phone.seal(erased)), `{"contract": 1, "id": "broken"}`,
	}, ",") + `]}`
	want := func(who *browser, outcomes ...string) []recording.RescuedItem {
		t.Helper()
		p := who.ask("/phone/rescue", file).want(http.StatusOK)
		var out recording.Rescued
		if err := decodeStrictly([]byte(p.body), &out); err != nil || len(out.Items) != len(outcomes) {
			t.Fatalf("%s, %v", p.body, err)
		}
		for i, item := range out.Items {
			if item.Outcome != outcomes[i] || item.Text == "" || (item.Receipt != nil) != (item.Outcome == recording.RescueStored || item.Outcome == recording.RescueQuarantined) {
				t.Errorf("item %d: %+v, want %s", i, item, outcomes[i])
			}
		}
		return out.Items
	}
	// The lead cannot add erased recordings, and may hand in files for both
	// families.
	first := want(b.as(b.Bench.Lead), recording.RescueQuarantined, recording.RescueQuarantined, recording.RescueGone, recording.RescueUnreadable)
	if n := b.count(`select count(*) from quarantine where why = 'file' and account_id <> $1`, b.Bench.Lead.Account); n != 2 {
		t.Errorf("%d are quarantined under their authors' names", n)
	}
	if again := want(b.as(b.Bench.Lead), recording.RescueQuarantined, recording.RescueQuarantined, recording.RescueGone, recording.RescueUnreadable); *again[0].Receipt != *first[0].Receipt {
		t.Errorf("handed in twice: %+v, then %+v", *first[0].Receipt, *again[0].Receipt)
	}
	// A supervisor reaches only their own families.
	want(b.as(b.Bench.Supervisor), recording.RescueQuarantined, recording.RescueAnother, recording.RescueGone, recording.RescueUnreadable)
	if page := b.as(b.Bench.Lead).get("/quarantine").want(http.StatusOK); !strings.Contains(page.text("main"), "uploaded as a file") {
		t.Error("the page does not say how it arrived")
	}
	if n := b.count(`select count(*) from recording`); n != 0 {
		t.Errorf("%d count already", n)
	}
	b.anybody().ask("/phone/rescue", file).want(http.StatusUnauthorized)
}

// TestRescueByAuthor covers what the phone could not send itself.
func TestRescueByAuthor(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	phone, other := b.as(b.Bench.Home.Caregiver), b.as(b.Bench.NextDoor.Caregiver)
	d := b.session("aan").Document()
	body := string(phone.seal(d))
	file := `{"contract": 1, "sealed": [` + body + `]}`
	for range 2 {
		var out recording.Rescued
		p := phone.ask("/phone/rescue", file).want(http.StatusOK)
		if err := decodeStrictly([]byte(p.body), &out); err != nil || out.Items[0].Outcome != recording.RescueStored || out.Items[0].Receipt.SHA256 != recording.Sum([]byte(body)) {
			t.Fatalf("%s, %v", p.body, err)
		}
		told.note(*out.Items[0].Receipt)
	}
	if p := other.ask("/phone/rescue", file); !strings.Contains(p.body, `"another"`) {
		t.Errorf("by another caregiver: %s", p.body)
	}
	// A file of a later contract is recognized, whatever it contains.
	for _, later := range []string{`{"contract": 2}`, `{"contract": 2, "made": {"by": 1}, "sealed": {}}`} {
		if p := phone.ask("/phone/rescue", later); p.status != http.StatusUnprocessableEntity || p.problem().Error != "contract" {
			t.Errorf("%s: %d %s", later, p.status, p.body)
		}
	}
	if p := phone.ask("/phone/rescue", `{"contract": 1, "seals": []}`); p.status != http.StatusUnprocessableEntity || p.problem().Path != "seals" {
		t.Errorf("an unknown field: %d %s", p.status, p.body)
	}
	told.check(t, b)
	if n := b.count(`select count(*) from recording`); n != 1 {
		t.Errorf("%d recordings", n)
	}
}

// TestUnchangedDayIsNotSentAgain checks that a phone that names the day it has
// gets only the time, until something changes.
func TestUnchangedDayIsNotSentAgain(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	phone := b.as(b.Bench.Home.Caregiver)
	ask := func(tag string) *reply {
		t.Helper()
		r := httptest.NewRequest(http.MethodGet, "/phone/day", http.NoBody)
		r.Header.Set("If-None-Match", tag)
		return phone.send(r)
	}
	first := ask("").want(http.StatusOK)
	tag := first.header.Get("ETag")
	for _, known := range []string{tag, "W/" + tag} {
		again := ask(known).want(http.StatusNotModified)
		if at, err := time.Parse(time.RFC3339Nano, again.header.Get(newel.AsOfHeader)); err != nil || at.IsZero() || again.body != "" {
			t.Errorf("unchanged: as of %v, %v, %q", at, err, again.body)
		}
	}
	if other := b.as(b.Bench.Home.Caregiver); other.day("", "").Account.IsZero() {
		t.Error("a phone that names no day gets none")
	}
	// A message to the family is something new.
	b.as(b.Bench.Supervisor).post("/families/"+b.Bench.Home.Family.String()+"/messages", url.Values{"message": {"How did it go?"}}).want(http.StatusSeeOther)
	if changed := ask(tag).want(http.StatusOK); changed.header.Get("ETag") == tag {
		t.Error("a changed day has the same name")
	}
}
