package httpd

import (
	"bytes"
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/recording"
)

// The tests in this file, faultsclock_test.go and faultspeople_test.go are the
// server's part of the table of faults; the browser's part is in web/e2e. Each
// ends by checking the invariants (shadow.check).

func decodeStrictly(body []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(body))
	d.DisallowUnknownFields()
	return d.Decode(v)
}

// TestF16TwoTabsUpload: two uploaders concurrently send equal and different
// states of one recording.
func TestF16TwoTabsUpload(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	s := b.session("aa")
	s.ID = newel.NewID[newel.RecordingID]()
	var bodies []recording.Document
	for _, marks := range []string{"aa", "aa1", "aa1n", "aa1na"} {
		s.Marks, s.Open = marks, marks != "aa1na"
		bodies = append(bodies, s.Document())
	}
	var tabs sync.WaitGroup
	for range 2 {
		phone := b.as(b.Bench.Home.Caregiver)
		for _, d := range bodies {
			tab := phone.tab()
			tabs.Go(func() {
				p := tab.put("/recordings/"+d.ID.String(), recording.MediaType, bytes.NewReader(d.Encode()))
				receipt, err := believed(p.status, p.header.Get("Content-Type"), []byte(p.body), d.Encode())
				if err != nil {
					t.Error(err)
					return
				}
				told.note(*receipt)
			})
		}
	}
	tabs.Wait()
	told.check(t, b)
	if n := b.count(`select trials from recording`); n != 5 {
		t.Errorf("%d tries count, want 5", n)
	}
	bySum := map[string]recording.Receipt{}
	for _, r := range told.said {
		if before, ok := bySum[r.SHA256]; ok && before != r {
			t.Errorf("two receipts for one body: %+v, %+v", before, r)
		}
		bySum[r.SHA256] = r
	}
}

// TestF17TwoPhonesAtOnce: two phones record the same child at the same time.
// Both recordings are stored and count, and the supervisor is told.
func TestF17TwoPhonesAtOnce(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	one, two := b.session("aaaa"), b.session("nna")
	two.By = b.Bench.Home.Other
	first, second := one.Document(), two.Document()
	told.must(t, b.as(b.Bench.Home.Caregiver), first)
	told.must(t, b.as(b.Bench.Home.Caregiver), second)
	told.check(t, b)
	if n := b.count(`select count(*) from recording where closed`); n != 2 {
		t.Errorf("%d sessions", n)
	}
	if n := b.count(`select sum(trials) from recording`); n != 7 {
		t.Errorf("%d tries in all, want 7", n)
	}
	desk := b.as(b.Bench.Supervisor)
	for _, d := range []recording.Document{first, second} {
		if page := desk.get("/recordings/" + d.ID.String()).want(http.StatusOK); !strings.Contains(page.text("main"), "recorded at the same time") {
			t.Error("the page does not report the overlapping sessions")
		}
	}
}

// TestF27ConnectionDiesAfterBody: the answer is lost. The phone sends again and
// gets the receipt that it should have got.
func TestF27ConnectionDiesAfterBody(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	phone := b.as(b.Bench.Home.Caregiver)
	l := newLine(t, phone)
	d := b.session("aan1").Document()
	l.set(fault{up: -1, down: 0, spoil: -1})
	if r, err := l.document(d); err == nil {
		t.Fatalf("the connection was cut but the phone trusts %+v", r)
	}
	kept := b.count(`select count(*) from delivery`)
	l.set(sound)
	again, err := l.document(d)
	if err != nil {
		t.Fatal(err)
	}
	told.note(*again)
	if n := b.count(`select count(*) from delivery`); kept != 1 || n != 1 {
		t.Errorf("%d deliveries before and %d after, want 1 and 1", kept, n)
	}
	var stored recording.Receipt
	if err := b.site.World.DB.Bypass.QueryRow(t.Context(), `select receipt from delivery`).Scan(&stored); err != nil || stored != *again {
		t.Errorf("the later receipt differs from the first: %+v, %+v, %v", stored, *again, err)
	}
	told.check(t, b)
}

// TestF28ConnectionDiesMidBody: half a body is never stored, wherever it breaks
// off.
func TestF28ConnectionDiesMidBody(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	l := newLine(t, b.as(b.Bench.Home.Caregiver))
	d := b.session("aan1").Document()
	size, body := l.size(d), len(d.Encode())
	for _, cut := range []int{1, 200, size - body, size - body/2, size - 20, size - 1} {
		l.set(fault{up: cut, down: -1, spoil: -1})
		if r, err := l.document(d); err == nil {
			t.Fatalf("cut after %d bytes, but the phone trusts %+v", cut, r)
		}
	}
	if n := b.count(`select (select count(*) from recording) + (select count(*) from quarantine)`); n != 0 {
		t.Errorf("%d partial recordings stored", n)
	}
	l.set(sound)
	receipt, err := l.document(d)
	if err != nil {
		t.Fatal(err)
	}
	told.note(*receipt)
	told.check(t, b)
	if n := b.count(`select count(*) from delivery`); n != 1 {
		t.Errorf("%d deliveries", n)
	}
}

// TestF29AnswerTruncatedOrSpoiled: a phone never trusts a truncated or changed
// receipt, and sending again is harmless.
func TestF29AnswerTruncatedOrSpoiled(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	l := newLine(t, b.as(b.Bench.Home.Caregiver))
	d := b.session("aan1").Document()
	first, err := l.document(d)
	if err != nil {
		t.Fatal(err)
	}
	told.note(*first)
	for cut := 1; cut < 900; cut += 70 {
		l.set(fault{up: -1, down: cut, spoil: -1})
		if r, err := l.document(d); err == nil {
			t.Errorf("truncated after %d bytes, but trusted: %+v", cut, r)
		}
	}
	for place := range 120 { // the receipt's last bytes: hash, safe_through, closed, stored_at
		l.set(fault{up: -1, down: -1, spoil: place})
		r, err := l.document(d)
		if err == nil && (r.ID != first.ID || r.SHA256 != first.SHA256) {
			t.Errorf("changed at %d, but trusted: %+v", place, r)
		}
	}
	told.check(t, b)
	if n := b.count(`select count(*) from delivery`); n != 1 {
		t.Errorf("%d deliveries", n)
	}
}

// TestF33PoisonRecord: a permanently refused recording does not affect others,
// and stays refused with its reason.
func TestF33PoisonRecord(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	phone := b.as(b.Bench.Home.Caregiver)
	poison := b.session("aaa").Document()
	bad := strings.Replace(string(poison.Encode()), `"outcome":"correct"`, `"outcome":"perfect"`, 1)
	for range 3 {
		p := phone.put("/recordings/"+poison.ID.String(), recording.MediaType, strings.NewReader(bad))
		if got := p.problem(); p.status != http.StatusUnprocessableEntity || got.Path != "trials[0].answer.outcome" {
			t.Errorf("%d %+v", p.status, got)
		}
		told.must(t, phone, b.session("an").Document())
	}
	told.check(t, b)
	if n := b.count(`select count(*) from recording`); n != 3 {
		t.Errorf("%d recordings, want 3", n)
	}
}

// TestF35OldPageNewServer: documents written when the contract was made are
// still accepted. The files never change; a new contract adds others.
func TestF35OldPageNewServer(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	phone, home := b.as(b.Bench.Home.Caregiver), b.Bench.Home
	files, err := filepath.Glob(filepath.Join("..", "recording", "testdata", "documents", "*.json"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%d old documents, %v", len(files), err)
	}
	var told shadow
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		d, err := recording.Decode(raw)
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		id := newel.NewID[newel.RecordingID]()
		body := strings.NewReplacer(d.ID.String(), id.String(), d.Author.String(), home.Caregiver.Account.String(),
			d.Placement.String(), home.Placement.String()).Replace(string(raw))
		told.mustBody(t, phone, "/recordings/"+id.String(), recording.MediaType, []byte(body))
	}
	told.check(t, b)
	for _, ahead := range []string{`"contract":3`, `"contract":99`} {
		d := b.session("a").Document()
		p := phone.put("/recordings/"+d.ID.String(), recording.MediaType, strings.NewReader(strings.Replace(string(d.Encode()), `"contract":2`, ahead, 1)))
		if got := p.problem(); p.status != http.StatusUnprocessableEntity || got.Error != "contract" || got.Speaks != recording.Contract {
			t.Errorf("a page ahead of the server: %d %+v", p.status, got)
		}
	}
}

// TestF44StepChangedMeanwhile: a session recorded with an earlier step's
// instructions counts there, and nowhere else.
func TestF44StepChangedMeanwhile(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	home := b.Bench.Home
	phone := b.as(home.Caregiver)
	next := newel.NewID[newel.PlacementID]()
	b.exec(`update placement set ended_at = $2 where id = $1`, home.Placement, b.clock.Now().Add(-10*time.Minute))
	b.exec(`insert into placement (clinic_id, family_id, id, assignment_id, version_id, step_key, strand_key, criterion, planned_help, began_at, began_on)
		select clinic_id, family_id, $2, assignment_id, version_id, 's2', strand_key, criterion, planned_help, ended_at, '2026-03-12' from placement where id = $1`, home.Placement, next)
	d := b.session("aaa").Document()
	told.must(t, phone, d)
	told.check(t, b)
	if n := b.count(`select count(*) from recording where placement_id = $1 and closed`, home.Placement); n != 1 {
		t.Errorf("%d sessions in the step whose instructions the phone had", n)
	}
	if n := b.count(`select count(*) from reading where placement_id = $1`, next); n != 0 {
		t.Error("the new step was evaluated because of it")
	}
	day := phone.day("", "")
	if len(day.Learners) != 1 || day.Learners[0].Next == nil || day.Learners[0].Next.Placement != next || day.Learners[0].Next.Here != 1 {
		t.Errorf("the day does not say that the step has changed: %+v", day.Learners)
	}
	phone.get("/kits/" + home.Placement.String()).want(http.StatusGone)
}

// TestF45RestoredFromOlderBackup: the server has lost a recording that had a
// receipt. When asked, it says so, and it accepts the same body again.
func TestF45RestoredFromOlderBackup(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	phone := b.as(b.Bench.Home.Caregiver)
	kept, lost := b.session("aa").Document(), b.session("n1").Document()
	told.must(t, phone, kept)
	phone.putDocument(lost).want(http.StatusCreated)
	b.exec(`delete from recording where id = $1`, lost.ID) // as an older backup has it
	got := phone.receipts(kept, lost)
	if !got[0].Known || !got[0].Stored || !got[0].Closed || got[0].SHA256 != recording.Sum(kept.Encode()) {
		t.Errorf("what is there: %+v", got[0])
	}
	if got[1].Known || got[1].Stored || got[1].SHA256 != "" || got[1].Gone {
		t.Errorf("what is not: %+v", got[1])
	}
	told.must(t, phone, lost)
	if again := phone.receipts(lost)[0]; !again.Stored || !again.Closed {
		t.Errorf("after sending again: %+v", again)
	}
	told.check(t, b)
	if n := b.count(`select sum(trials) from recording`); n != 4 {
		t.Errorf("%d tries, want 4", n)
	}
}

// exec changes rows, bypassing every policy.
func (b benchSite) exec(statement string, args ...any) {
	b.t.Helper()
	if _, err := b.site.World.DB.Bypass.Exec(b.t.Context(), statement, args...); err != nil {
		b.t.Fatal(err)
	}
}

// day requests the day, with the headers unless they are empty.
func (b *browser) day(unsent, told string) program.PhoneDay {
	b.t.Helper()
	r, err := http.NewRequestWithContext(b.t.Context(), http.MethodGet, "/phone/day", nil)
	if err != nil {
		b.t.Fatal(err)
	}
	for name, value := range map[string]string{newel.UnsentHeader: unsent, newel.ToldHeader: told} {
		if value != "" {
			r.Header.Set(name, value)
		}
	}
	p := b.send(r).want(http.StatusOK)
	var day program.PhoneDay
	if err := decodeStrictly([]byte(p.body), &day); err != nil || p.header.Get("Content-Type") != program.DayMediaType {
		b.t.Fatalf("%s: %v", p.header.Get("Content-Type"), err)
	}
	return day
}

// receipts asks again about sent recordings.
func (b *browser) receipts(documents ...recording.Document) []recording.Checked {
	b.t.Helper()
	var ask []string
	for _, d := range documents {
		ask = append(ask, "id="+d.ID.String()+"."+recording.Sum(d.Encode()))
	}
	p := b.get("/phone/receipts?" + strings.Join(ask, "&")).want(http.StatusOK)
	var out recording.Receipts
	if err := decodeStrictly([]byte(p.body), &out); err != nil || len(out.Receipts) != len(documents) || p.header.Get("Content-Type") != recording.ReceiptsMediaType {
		b.t.Fatalf("%s: %s, %v", p.header.Get("Content-Type"), p.body, err)
	}
	return out.Receipts
}
