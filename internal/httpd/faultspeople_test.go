package httpd

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"newel/internal/fixture/phone"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/recording"
)

// seal encrypts as a phone does before it locks.
func (b *browser) seal(d recording.Document) []byte {
	b.t.Helper()
	sealed := phone.Seal(b.t, b.day("", "").SealKey, d.ID, d.Encode())
	body, err := json.Marshal(sealed)
	if err != nil {
		b.t.Fatal(err)
	}
	return body
}

func (b *browser) putSealed(d recording.Document, body []byte) *reply {
	b.t.Helper()
	return b.put("/recordings/"+d.ID.String(), recording.SealedMediaType, strings.NewReader(string(body)))
}

// ask sends JSON to one of the phone's addresses.
func (b *browser) ask(path, body string) *reply {
	b.t.Helper()
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	p := b.send(r)
	if strings.Contains(p.body, "<") {
		b.t.Errorf("POST %s answers with a page: %s", path, p.body)
	}
	return p
}

// alsoOf returns a browser linked to both people; the second one uses it now.
func (b benchSite) alsoOf(first, second newel.Actor) *browser {
	one, two := b.as(first), b.as(second)
	device, others := cookieName(b.server.base, deviceCookie), cookieName(b.server.base, othersCookie)
	two.cookies[others] = one.cookies[device]
	return two
}

// TestArrivedSessionsAreNotCountedAsUnsent checks that the caseload counts
// unsent sessions on phones, and stops counting those that have arrived.
func TestArrivedSessionsAreNotCountedAsUnsent(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	holds := func() (n int) {
		t.Helper()
		load, err := b.server.app.Caseload(t.Context(), b.Supervisor, reading.CaseloadFilter{})
		if err != nil {
			t.Fatal(err)
		}
		for _, item := range load.Quiet {
			n = max(n, item.Unsent)
		}
		return n
	}
	var told shadow
	phone := b.as(b.Bench.Home.Caregiver)
	sent := b.session("aa").Document()
	phone.day(sent.ID.String(), "")
	if n := holds(); n != 1 {
		t.Errorf("before it arrived the phone holds %d sessions", n)
	}
	told.must(t, phone, sent)
	if n := holds(); n != 0 {
		t.Errorf("after it arrived the phone holds %d sessions", n)
	}
	phone.day(sent.ID.String(), "") // sent before the phone knew
	if n := holds(); n != 0 {
		t.Errorf("asked at the same time, the phone holds %d sessions", n)
	}
	told.check(t, b)
}

// TestF11StorageCleared: the browser has deleted its data. The server knows
// which recordings the phone had named, reports those that never arrived, and
// keeps reporting them until the person has been told.
func TestF11StorageCleared(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	phone := b.as(b.Bench.Home.Caregiver)
	sent, gone, late := b.session("aa").Document(), b.session("n").Document(), b.session("1").Document()
	all := sent.ID.String() + " " + gone.ID.String() + " " + late.ID.String()
	if day := phone.day(all, ""); len(day.Lost) != 0 {
		t.Errorf("lost initially: %v", day.Lost)
	}
	told.must(t, phone, sent)
	if day := phone.day("", ""); len(day.Lost) != 0 {
		t.Errorf("a phone that does not say what it holds has lost %v", day.Lost)
	}
	for range 2 {
		if day := phone.day(newel.NothingUnsent, ""); len(day.Lost) != 2 {
			t.Errorf("lost: %v, want two", day.Lost)
		}
	}
	told.must(t, phone, late) // it turns up on another phone
	if day := phone.day(newel.NothingUnsent, ""); len(day.Lost) != 1 || day.Lost[0] != gone.ID {
		t.Errorf("lost: %v, want %s", day.Lost, gone.ID)
	}
	if day := phone.day(newel.NothingUnsent, gone.ID.String()); len(day.Lost) != 0 {
		t.Errorf("lost after it was told: %v", day.Lost)
	}
	if day := phone.day(newel.NothingUnsent, ""); len(day.Lost) != 0 {
		t.Errorf("lost again: %v", day.Lost)
	}
	told.check(t, b)
}

// TestF19SignInEnded: covers F20 too, access ended elsewhere. The phone gets a
// 401 in its own format, nothing is stored or taken from the phone, and once
// the same person is back, the same bytes are stored.
func TestF19SignInEnded(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	phone := b.as(b.Bench.Home.Caregiver)
	d := b.session("aan").Document()
	sealed := phone.seal(d)
	b.exec(`update device set revoked_at = now()`)
	for name, p := range map[string]*reply{
		"PUT": phone.putDocument(d), "sealed PUT": phone.putSealed(d, sealed), "day": phone.get("/phone/day"), "receipts": phone.get("/phone/receipts?id=" + d.ID.String()),
	} {
		if p.status != http.StatusUnauthorized || p.problem().Error != "sign_in" {
			t.Errorf("%s: %d %s", name, p.status, p.body)
		}
		if len(p.cookies) != 0 || p.header.Get("Clear-Site-Data") != "" {
			t.Errorf("%s removes something from the phone: %v", name, p.header)
		}
	}
	if n := b.count(`select count(*) from recording`); n != 0 {
		t.Errorf("%d stored without an account", n)
	}
	again := b.as(b.Bench.Home.Caregiver) // a new invitation
	told.must(t, again, d)
	told.mustBody(t, again, "/recordings/"+d.ID.String(), recording.SealedMediaType, sealed)
	told.check(t, b)
}

// TestF20PasswordChangedElsewhere: a supervisor's sign-in ends while they are
// away.
func TestF20PasswordChangedElsewhere(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	b.exec(`insert into credential (clinic_id, account_id, sign_in_name, password_hash) values ($1, $2, 'tomas@example.org', '')`, b.Bench.Clinic, b.Bench.Supervisor.Account)
	desk := b.as(b.Bench.Supervisor)
	s := b.session("aan")
	s.House.Caregiver = b.Bench.Supervisor
	d := s.Document()
	b.exec(`update credential set epoch = epoch + 1`)
	if p := desk.putDocument(d); p.status != http.StatusUnauthorized || p.header.Get("Clear-Site-Data") != "" {
		t.Errorf("%d %v", p.status, p.header)
	}
	told.must(t, b.as(b.Bench.Supervisor), d)
	told.check(t, b)
}

// TestF22NothingClearsStorage: no way of signing out clears what the browser
// has stored.
func TestF22NothingClearsStorage(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	for name, p := range map[string]*reply{
		"leave":    b.as(b.Bench.Home.Caregiver).ask("/phone/lock", `{"for_good": true}`).want(http.StatusOK),
		"sign-out": b.as(b.Bench.Supervisor).post("/sign-out", nil).want(http.StatusSeeOther),
		"lock":     b.as(b.Bench.Home.Caregiver).ask("/phone/lock", `{"force": true}`).want(http.StatusOK),
		"nobody":   b.anybody().ask("/phone/lock", `{}`).want(http.StatusOK),
	} {
		if h := p.header.Get("Clear-Site-Data"); h != "" {
			t.Errorf("%s: Clear-Site-Data: %s", name, h)
		}
	}
}

// TestF23AnotherPersonOnThePhone: the current person can neither send nor see
// another person's recordings. Once the author is back, they are sent under the
// right name.
func TestF23AnotherPersonOnThePhone(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	home, next := b.Bench.Home.Caregiver, b.Bench.NextDoor.Caregiver
	first := b.as(home)
	first.ask("/phone/pin", `{"pin": "4711"}`).want(http.StatusOK)
	d := b.session("aan").Document()
	sealed := first.seal(d)
	phone := b.alsoOf(home, next)
	device := cookieName(b.server.base, deviceCookie)
	phone.cookies[cookieName(b.server.base, othersCookie)] = first.cookies[device]

	if p := phone.putDocument(d); p.status != http.StatusUnauthorized {
		t.Errorf("sent by another person: %d", p.status)
	}
	if p := phone.putSealed(d, sealed); p.status != http.StatusUnauthorized {
		t.Errorf("sealed and sent by another person: %d %s", p.status, p.body)
	}
	if got := phone.receipts(d)[0]; got.Known {
		t.Errorf("another person is told: %+v", got)
	}
	list := phone.get("/phone/accounts").want(http.StatusOK)
	var accounts newel.PhoneAccounts
	if err := decodeStrictly([]byte(list.body), &accounts); err != nil || len(accounts.Accounts) != 2 {
		t.Fatalf("%s, %v", list.body, err)
	}
	if a := accounts.Accounts[1]; a.Account != home.Account || a.Current || !a.PINSet || a.Initials != "S" {
		t.Errorf("who waits: %+v", a)
	}
	for _, secret := range []string{"Sari", "Kavi", "Orla", "Wren", b.Bench.Home.Family.String()} {
		if strings.Contains(list.body, secret) {
			t.Errorf("the list shows %s", secret)
		}
	}
	phone.ask("/phone/switch", `{"account": "`+home.Account.String()+`", "pin": "4711"}`).want(http.StatusOK)
	told.mustBody(t, phone, "/recordings/"+d.ID.String(), recording.SealedMediaType, sealed)
	if n := b.count(`select count(*) from recording where author_id = $1`, home.Account); n != 1 {
		t.Error("not stored under the author's name")
	}
	if day := phone.day("", ""); day.Account != home.Account || day.Learners[0].Nickname != "Kavi" {
		t.Errorf("the day after switching: %+v", day)
	}
	told.check(t, b)
}

// TestF24AccessEndedWhileAway: a recording by someone who no longer reaches the
// family waits for a supervisor, and the phone is told so.
func TestF24AccessEndedWhileAway(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	var told shadow
	phone, desk := b.as(b.Bench.Home.Caregiver), b.as(b.Bench.Lead)
	d := b.session("aan").Document()
	b.exec(`update person set account_id = null where account_id = $1`, b.Bench.Home.Caregiver.Account)
	if r := told.must(t, phone, d); !r.Quarantined {
		t.Errorf("it counts: %+v", r)
	}
	told.check(t, b)
	if got := phone.receipts(d)[0]; !got.Known || !got.Stored || !got.Quarantined || !got.Closed {
		t.Errorf("asked again: %+v", got)
	}
	if day := phone.day("", ""); len(day.Learners) != 0 || len(day.Kits) != 0 {
		t.Errorf("still sees %+v", day.Learners)
	}
	desk.post("/quarantine/"+b.Bench.Home.Caregiver.Account.String()+"/"+d.ID.String(), map[string][]string{"what": {"take_in"}}).want(http.StatusSeeOther)
	if n := b.count(`select trials from recording`); n != 3 {
		t.Errorf("%d trials accepted", n)
	}
	if again := phone.putDocument(d).want(http.StatusOK); !strings.Contains(again.body, recording.Sum(d.Encode())) {
		t.Errorf("the same bytes again: %s", again.body)
	}
}

// TestPINTries: five wrong PINs, with growing delays, revoke the browser; a
// right one in between resets the count.
func TestPINTries(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	home := b.Bench.Home.Caregiver
	phone := b.as(home)
	for body, path := range map[string]string{`{"pin": "123"}`: "pin", `{"pin": "123456789"}`: "pin", `{"pin": "12a4"}`: "pin", `{"pin": 1234}`: "pin"} {
		if p := phone.ask("/phone/pin", body); p.status != http.StatusUnprocessableEntity || p.problem().Path != path {
			t.Errorf("%s: %d %s", body, p.status, p.body)
		}
	}
	lock := func() *reply { return phone.ask("/phone/lock", `{}`) }
	if p := lock(); p.status != http.StatusConflict || !strings.Contains(p.body, "no_pin") {
		t.Errorf("locked without a PIN: %d %s", p.status, p.body)
	}
	phone.ask("/phone/pin", `{"pin": "4711"}`).want(http.StatusOK)
	if !phone.day("", "").PINSet {
		t.Error("the day does not know of the PIN")
	}
	if p := phone.ask("/phone/pin", `{"pin": "1234", "current": "0000"}`); p.status != http.StatusForbidden {
		t.Errorf("changed without the PIN before: %d", p.status)
	}
	lock().want(http.StatusOK)
	phone.get("/phone/day").want(http.StatusUnauthorized)
	try := func(pin string) (int, pinProblem) {
		p := phone.ask("/phone/switch", `{"account": "`+home.Account.String()+`", "pin": "`+pin+`"}`)
		var out pinProblem
		_ = json.Unmarshal([]byte(p.body), &out)
		return p.status, out
	}
	if status, _ := try("4711"); status != http.StatusOK {
		t.Fatalf("the right one: %d", status)
	}
	lock().want(http.StatusOK)
	for i, want := range []pinProblem{{"wrong_pin", 4, 0}, {"wrong_pin", 3, 5}, {"wrong_pin", 2, 30}, {"wrong_pin", 1, 300}} {
		status, got := try("0000")
		if status != http.StatusForbidden || got != want {
			t.Fatalf("try %d: %d %+v, want %+v", i+1, status, got, want)
		}
		if want.WaitS > 0 {
			if status, got := try("4711"); status != http.StatusTooManyRequests || got.Error != "wait" || got.WaitS != want.WaitS {
				t.Errorf("not waited after try %d: %d %+v", i+1, status, got)
			}
		}
		b.clock.Set(b.clock.Now().Add(time.Duration(want.WaitS) * time.Second))
	}
	if status, got := try("0000"); status != http.StatusGone || got.Error != "renew" {
		t.Errorf("the fifth try: %d %+v", status, got)
	}
	if status, _ := try("4711"); status != http.StatusNotFound {
		t.Errorf("after it was revoked: %d", status)
	}
	if n := b.count(`select count(*) from device where revoked_at is not null`); n != 1 {
		t.Errorf("%d revoked", n)
	}
}

// TestSecondInvitationOnOnePhone: joining on a phone that is linked to someone
// keeps that person waiting on it.
func TestSecondInvitationOnOnePhone(t *testing.T) {
	t.Parallel()
	b := newBenchSite(t)
	phone := b.alsoOf(b.Bench.Home.Caregiver, b.Bench.NextDoor.Caregiver)
	phone.ask("/phone/switch", `{"account": "`+b.Bench.Home.Caregiver.Account.String()+`"}`).want(http.StatusConflict) // no PIN: no way back
	phone.cookies[cookieName(b.server.base, othersCookie)] += ".garbage..dead"
	p := phone.get("/phone/accounts").want(http.StatusOK)
	if strings.Count(p.body, `"account"`) != 2 {
		t.Errorf("%s; kept %v", p.body, phone.cookies)
	}
	// Arriving after the phone was locked, such a cookie would unlock it.
	if set := p.header.Values("Set-Cookie"); len(set) != 0 {
		t.Errorf("listing the known people sets %q", set)
	}
}

// TestJoiningKeepsTheOtherPersonOnThePhone: opening an invitation on a phone
// that someone uses does not remove that person from it.
func TestJoiningKeepsTheOtherPersonOnThePhone(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	phone := s.anybody()
	phone.post(s.invite(s.Home.Other), nil).leads("/today")
	phone.ask("/phone/pin", `{"pin": "4711"}`).want(http.StatusOK)
	first := phone.day("", "").Account
	phone.post(s.invite(s.Home.Person), nil).leads("/today")
	if now := phone.day("", "").Account; now == first {
		t.Fatal("the newcomer is not the phone's current person")
	}
	phone.ask("/phone/switch", `{"account": "`+first.String()+`", "pin": "4711"}`).want(http.StatusOK)
	if now := phone.day("", "").Account; now != first {
		t.Error("the first person cannot come back")
	}
	if p := phone.get("/phone/accounts"); strings.Count(p.body, `"account"`) != 2 {
		t.Errorf("known people: %s", p.body)
	}
	phone.post(s.invite(s.Home.Other), nil).leads("/today") // the same person again
	if p := phone.get("/phone/accounts"); strings.Count(p.body, `"account"`) != 2 {
		t.Errorf("after a second invitation for the same person: %s", p.body)
	}
}

// TestLockedPersonNeedsThePIN: a late answer may restore the cookie of a person
// who has locked the phone or handed it over. The cookie alone gives no access;
// the PIN does.
func TestLockedPersonNeedsThePIN(t *testing.T) {
	t.Parallel()
	for name, leave := range map[string]func(b benchSite, phone *browser){
		"locked": func(_ benchSite, phone *browser) {
			phone.ask("/phone/lock", `{}`).want(http.StatusOK)
		},
		"switched": func(b benchSite, phone *browser) {
			next := b.as(b.Bench.NextDoor.Caregiver)
			next.ask("/phone/pin", `{"pin": "0815"}`).want(http.StatusOK)
			phone.cookies[cookieName(b.server.base, othersCookie)] = next.cookies[cookieName(b.server.base, deviceCookie)]
			b.exec(`update device set waits = true where account_id = $1`, b.Bench.NextDoor.Caregiver.Account)
			phone.ask("/phone/switch", `{"account": "`+b.Bench.NextDoor.Caregiver.Account.String()+`", "pin": "0815"}`).want(http.StatusOK)
			if day := phone.day("", ""); day.Account != b.Bench.NextDoor.Caregiver.Account {
				t.Errorf("after switching it is %s", day.Account)
			}
		},
		"invited": func(b benchSite, phone *browser) {
			phone.post(b.inviteBy(b.Bench.Lead, b.Bench.NextDoor.Self), nil).leads("/today")
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			b := newBenchSite(t)
			home := b.Bench.Home.Caregiver
			phone := b.as(home)
			phone.ask("/phone/pin", `{"pin": "4711"}`).want(http.StatusOK)
			device := cookieName(b.server.base, deviceCookie)
			late := phone.cookies[device]
			leave(b, phone)

			phone.cookies[device] = late
			phone.get("/phone/day").want(http.StatusUnauthorized)
			phone.putDocument(b.session("aan").Document()).want(http.StatusUnauthorized)
			var known newel.PhoneAccounts
			list := phone.get("/phone/accounts").want(http.StatusOK)
			if err := decodeStrictly([]byte(list.body), &known); err != nil || len(known.Accounts) == 0 {
				t.Fatalf("%s, %v", list.body, err)
			}
			for _, a := range known.Accounts {
				if a.Current {
					t.Errorf("someone is current: %+v", a)
				}
			}
			phone.ask("/phone/switch", `{"account": "`+home.Account.String()+`", "pin": "4711"}`).want(http.StatusOK)
			if day := phone.day("", ""); day.Account != home.Account {
				t.Errorf("the PIN brought %s back", day.Account)
			}
		})
	}
}
