package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"newel/internal/app"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
	"newel/internal/view"
)

func TestNewFamily(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	b := s.as(s.Supervisor)
	b.get("/families").want(http.StatusOK).check(htmlcheck.Count("tbody tr", 1))
	if zone := b.get("/families/new").want(http.StatusOK).check().attr(`input[name="time_zone"]`, "value"); zone != "Asia/Kolkata" {
		t.Errorf("time zone offered: %q", zone)
	}
	family := b.post("/families/new", url.Values{"name": {"Okonwale"}, "time_zone": {"Africa/Lagos"}}).want(http.StatusSeeOther).location
	b.get(family).want(http.StatusOK).check(
		htmlcheck.In("h1", htmlcheck.HasExactText("Okonwale")),
		htmlcheck.In("section:last-of-type .lines", htmlcheck.HasText("Tomas Rind"))) // a supervisor who adds a family looks after it
	b.post(family+"/people", url.Values{"name": {"Efe"}}).leads(family)
	b.get(family + "/learners/new").want(http.StatusOK).check()
	learner := b.post(family+"/learners/new", url.Values{"nickname": {"Dayo"}, "birth_month": {"2021-11"}}).want(http.StatusSeeOther).location
	page := b.get(learner).want(http.StatusOK).check(htmlcheck.In("h1", htmlcheck.HasExactText("Dayo")))
	for _, missing := range []string{"teaching", "session records", "Alerts", "stop signs"} {
		if !strings.Contains(page.text("section[aria-labelledby=missing-head]"), missing) {
			t.Errorf("the page does not say that %q is missing", missing)
		}
	}
	b.get(learner + "/consents").want(http.StatusOK).check()
	for _, kind := range newel.ConsentKinds {
		b.post(learner+"/consents", url.Values{"kind": {string(kind)}, "given_on": {"2026-03-12"}, "given_by": {"Efe, mother"}}).leads(learner + "/consents")
	}
	b.get(learner + "/care").want(http.StatusOK).check(htmlcheck.NotIn(`input[name="touch_allowed"][checked]`))
	b.post(learner+"/care", url.Values{"rev": {"0"}, "asked": {"yes"}, "allergy": {"egg"}, "stop_signs": {"Lies down"}}).leads(learner)
	b.get(learner).want(http.StatusOK).check(
		htmlcheck.NotIn("section[aria-labelledby=missing-head]"),
		htmlcheck.In("section[aria-labelledby=alerts-head]", htmlcheck.HasText("egg"), htmlcheck.HasText("none known"), htmlcheck.HasText("No touch prompts")),
		htmlcheck.In(".signwords", htmlcheck.HasExactText("Lies down")))
	b.post(family+"/edit", url.Values{"name": {"Okonwale-Ade"}, "time_zone": {"Africa/Lagos"}, "language": {"en"}}).leads(family)
	b.post(learner+"/edit", url.Values{"nickname": {"Dayo"}, "birth_month": {""}}).leads(learner)
	b.get("/families").want(http.StatusOK).check(htmlcheck.Count("tbody tr", 2), htmlcheck.In("tbody", htmlcheck.HasText("Okonwale-Ade")))
	if n := s.count(`select count(*) from audit where account_id = $1`, s.Supervisor.Account); n < 8 {
		t.Errorf("%d audit entries, want one per deed", n)
	}
}

func TestResubmittedFormAddsOneFamily(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	form := url.Values{view.FormTokenName: {app.NewForm().Token.String()}, "name": {"Arunadi"}, "time_zone": {"UTC"}}
	b := s.as(s.Supervisor)
	statuses := together(3, func(int) int { return b.tab().post("/families/new", form).status })
	if statuses[http.StatusSeeOther] != 3 {
		t.Errorf("statuses %v, want 303 three times", statuses)
	}
	if n := s.count(`select count(*) from family where name = 'Arunadi'`); n != 1 {
		t.Errorf("%d families, want 1", n)
	}
	b.post("/families/new", url.Values{view.FormTokenName: {""}, "name": {"Arunadi"}, "time_zone": {"UTC"}}).want(http.StatusUnprocessableEntity).
		check(htmlcheck.In(".problems", htmlcheck.HasText("open for too long")), htmlcheck.In(`input[value="Arunadi"]`))
}

// Typed text is stored as typed and never becomes markup. Text that cannot be
// stored comes back with a message, and nothing is lost.
func TestInputIsStoredAsTyped(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	b := s.as(s.Supervisor)
	home := "/families/" + s.Home.ID.String()
	for _, name := range []string{
		`<script>alert("x")</script> & "Söhne"`, "محمد", "👨‍👩‍👧‍👦 Ōta", "O’Brien; drop table family --", strings.Repeat("ü", newel.MaxName),
	} {
		b.post(home+"/people", url.Values{"name": {name}}).leads(home)
		page := b.get(home).want(http.StatusOK).check()
		if !strings.Contains(page.text("section[aria-labelledby=people-head]"), name) {
			t.Errorf("%q is not on the page", name)
		}
	}
	for name, value := range map[string]string{
		"nothing": "", "spaces": "  \t ", "too long": strings.Repeat("x", newel.MaxName+1), "two lines": "a\nb", "control": "a\x00b", "override": "a\u202eb", "no text": "\xff\xfe",
	} {
		reply := b.post(home+"/people", url.Values{"name": {value}})
		if reply.error("name") == "" {
			t.Errorf("%s: no message", name)
		}
		if name == "too long" && reply.attr(`input[name="name"]`, "value") != value {
			t.Errorf("%s: what was typed is lost", name)
		}
	}
}

func TestImpossibleDates(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.Exec(t, `delete from consent`, nil)
	b := s.as(s.Supervisor)
	learner := "/learners/" + s.Home.Learner.String()
	for value, want := range map[string]string{
		"2026-04": "in the future", "1996-03": "more than 25 years ago", "2026-13": "not a month", "03/2022": "not a month", "2022": "not a month",
	} {
		reply := b.post(learner+"/edit", url.Values{"nickname": {"Rami"}, "birth_month": {value}})
		if got := reply.error("birth_month"); !strings.Contains(got, want) {
			t.Errorf("born %s: %q, want %q", value, got, want)
		}
		if got := reply.attr(`input[name="birth_month"]`, "value"); got != value {
			t.Errorf("born %s comes back as %q", value, got)
		}
	}
	b.post(learner+"/edit", url.Values{"nickname": {"Rami"}, "birth_month": {"2026-03"}}).leads(learner)
	b.post(learner+"/edit", url.Values{"nickname": {"Rami"}, "birth_month": {"2022-04"}}).leads(learner)

	// It is 9:30 in London and 15:00 in Kolkata: both 12 March.
	consent := func(on string) *reply {
		return b.post(learner+"/consents", url.Values{"kind": {"teaching"}, "given_on": {on}, "given_by": {"Lubna, mother"}})
	}
	for value, want := range map[string]string{
		"2026-03-13": "in the future", "2022-03-31": "before the child", "2026-02-30": "not a date", "yesterday": "not a date", "": "missing",
	} {
		if got := consent(value).error("given_on"); !strings.Contains(got, want) {
			t.Errorf("given on %q: %q, want %q", value, got, want)
		}
	}
	consent("2026-03-10").leads(learner + "/consents")
	if got := consent("2026-03-11").error("kind"); !strings.Contains(got, "already") {
		t.Errorf("a second consent: %q", got)
	}
	withdraw := b.get(learner+"/consents").check().attr(`form[action$="/withdraw"]`, "action")
	for value, want := range map[string]string{"2026-03-09": "before the consent was given", "2026-03-13": "in the future"} {
		reply := b.post(withdraw, url.Values{"withdrawn_on": {value}}).want(http.StatusUnprocessableEntity).check()
		if !strings.Contains(reply.text(".problems"), want) {
			t.Errorf("withdrawn on %s: %q", value, reply.text(".problems"))
		}
	}
	b.post(withdraw, url.Values{"withdrawn_on": {"2026-03-12"}}).leads(learner + "/consents")
	b.get(learner).check(htmlcheck.In("section[aria-labelledby=missing-head]", htmlcheck.HasText("consent to teaching")))
	b.post(withdraw, url.Values{"withdrawn_on": {"2026-03-12"}}).want(http.StatusConflict).check()
	consent("2026-03-12").leads(learner + "/consents")
}

func TestConcurrentCareChanges(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	learner := "/learners/" + s.Home.Learner.String()
	mara, tomas := s.as(s.Lead), s.as(s.Supervisor)
	rev := mara.get(learner+"/care").check().attr(`input[name="rev"]`, "value")
	care := func(signs string) url.Values {
		return url.Values{"rev": {rev}, "asked": {"yes"}, "allergy": {"nuts, says " + signs}, "stop_signs": {signs}, "touch_allowed": {"yes"}}
	}
	mara.post(learner+"/care", care("Mara's words")).leads(learner)
	conflict := tomas.post(learner+"/care", care("Tomas's words")).want(http.StatusConflict).check(
		htmlcheck.In("section[aria-labelledby=theirs-head]", htmlcheck.HasText("Mara's words"), htmlcheck.HasText("nuts, says Mara")),
		htmlcheck.In(`textarea[name="stop_signs"]`, htmlcheck.HasExactText("Tomas's words")),
		htmlcheck.In(`input[name="touch_allowed"][checked]`))
	next := care("Both")
	next.Set("rev", conflict.attr(`input[name="rev"]`, "value"))
	tomas.post(learner+"/care", next).leads(learner)

	if got := tomas.post(learner+"/care", url.Values{"rev": {"3"}, "stop_signs": {""}}).error("stop_signs"); got == "" {
		t.Error("no message beside empty stop signs")
	}
	reply := tomas.post(learner+"/care", url.Values{"rev": {"3"}, "stop_signs": {"x"}}).want(http.StatusUnprocessableEntity)
	if !strings.Contains(reply.text(".problems"), "Ask the family") {
		t.Errorf("alerts not asked for: %q", reply.text(".problems"))
	}
	tomas.post(learner+"/care", url.Values{"rev": {"nonsense"}, "asked": {"yes"}, "stop_signs": {"x"}}).want(http.StatusConflict).check()
}

func TestOfficeSeesNoClinicalNotes(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	b := s.as(s.Office)
	for _, path := range []string{"/families", "/families/" + s.Home.ID.String(), "/learners/" + s.Home.Learner.String() + "/consents", "/learners/" + s.Home.Learner.String() + "/edit"} {
		page := b.get(path).want(http.StatusOK).check()
		for _, secret := range []string{"groundnuts", "covers both ears", `"/learners/` + s.Home.Learner.String() + `"`} {
			if strings.Contains(page.body, secret) {
				t.Errorf("%s shows %q to the office", path, secret)
			}
		}
	}
	b.get("/learners/" + s.Home.Learner.String()).want(http.StatusForbidden)
	b.get("/learners/" + s.Home.Learner.String() + "/care").want(http.StatusForbidden)
}

func TestCaseload(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	lead, ines := s.as(s.Lead), s.as(s.Trainee)
	next := "/families/" + s.NextDoor.ID.String()
	ines.get(next).want(http.StatusNotFound).check()
	lead.post(next+"/caseload", url.Values{"account": {s.Trainee.Account.String()}}).leads(next)
	lead.post(next+"/caseload", url.Values{"account": {s.Trainee.Account.String()}}).leads(next)
	ines.get(next).want(http.StatusOK).check()
	reply := lead.post(next+"/caseload", url.Values{"account": {s.Office.Account.String()}}).want(http.StatusUnprocessableEntity)
	if reply.body == "" {
		t.Error("no message")
	}
	lead.post(next+"/caseload", url.Values{"account": {s.Home.Caregiver.Account.String()}}).want(http.StatusNotFound)
	lead.post(next+"/caseload/leave", url.Values{"account": {s.Trainee.Account.String()}}).leads(next)
	ines.get(next).want(http.StatusNotFound)
	tomas := s.as(s.Supervisor)
	tomas.post("/families/"+s.Home.ID.String()+"/caseload/leave", url.Values{"account": {s.Supervisor.Account.String()}}).leads("/families")
	tomas.get("/families").check(htmlcheck.In(".empty"))
}

// Everything about a family is "not found" for supervisors who do not look
// after it, and nothing changes.
func TestFamilyOutOfReach(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	other := newSite(t)
	s.as(s.NextDoor.Caregiver)
	link := s.as(s.Lead).post("/persons/"+s.NextDoor.Other.String()+"/invite", nil).want(http.StatusOK)
	_ = link
	var invitation, device string
	if err := s.DB.Bypass.QueryRow(t.Context(), `select (select id::text from invitation), (select id::text from device)`).Scan(&invitation, &device); err != nil {
		t.Fatal(err)
	}
	for name, f := range map[string]struct {
		family, learner, person, consent, account string
	}{
		"another family": {s.NextDoor.ID.String(), s.NextDoor.Learner.String(), s.NextDoor.Other.String(), s.NextDoor.Consents[0].String(), s.Supervisor.Account.String()},
		"another clinic": {other.Home.ID.String(), other.Home.Learner.String(), other.Home.Other.String(), other.Home.Consents[0].String(), other.Lead.Account.String()},
		"nobody":         {newel.NewID[newel.FamilyID]().String(), newel.NewID[newel.LearnerID]().String(), newel.NewID[newel.PersonID]().String(), newel.NewID[newel.ConsentID]().String(), s.Lead.Account.String()},
		"not an id":      {"1", "' or 1=1", "..", "x", "y"},
	} {
		b := s.as(s.Supervisor)
		before := s.fingerprint()
		esc := url.PathEscape
		for _, path := range []string{
			"/families/" + esc(f.family), "/families/" + esc(f.family) + "/edit", "/families/" + esc(f.family) + "/learners/new", "/persons/" + esc(f.person),
			"/learners/" + esc(f.learner), "/learners/" + esc(f.learner) + "/edit", "/learners/" + esc(f.learner) + "/care", "/learners/" + esc(f.learner) + "/consents",
		} {
			if got := b.get(path).status; got != http.StatusNotFound {
				t.Errorf("%s: GET %s is %d", name, path, got)
			}
		}
		for path, form := range map[string]url.Values{
			"/families/" + esc(f.family) + "/edit":                                               {"name": {"x"}, "time_zone": {"UTC"}},
			"/families/" + esc(f.family) + "/people":                                             {"name": {"x"}},
			"/families/" + esc(f.family) + "/caseload":                                           {"account": {f.account}},
			"/families/" + esc(f.family) + "/caseload/leave":                                     {"account": {f.account}},
			"/families/" + esc(f.family) + "/learners/new":                                       {"nickname": {"x"}},
			"/persons/" + esc(f.person):                                                          {"name": {"x"}},
			"/persons/" + esc(f.person) + "/invite":                                              {},
			"/invitations/" + invitation + "/revoke":                                             {},
			"/devices/" + device + "/cut":                                                        {},
			"/learners/" + esc(f.learner) + "/edit":                                              {"nickname": {"x"}},
			"/learners/" + esc(f.learner) + "/care":                                              {"rev": {"1"}, "asked": {"yes"}, "stop_signs": {"x"}},
			"/learners/" + esc(f.learner) + "/consents":                                          {"kind": {"teaching"}, "given_on": {"2026-03-01"}, "given_by": {"x"}},
			"/learners/" + s.Home.Learner.String() + "/consents/" + esc(f.consent) + "/withdraw": {"withdrawn_on": {"2026-03-01"}},
		} {
			if got := b.post(path, form).status; got != http.StatusNotFound {
				t.Errorf("%s: POST %s is %d", name, path, got)
			}
		}
		if after := s.fingerprint(); after != before {
			t.Errorf("%s: something changed", name)
		}
	}
}

// fingerprint changes whenever anything about families changes.
func (s *site) fingerprint() string {
	s.t.Helper()
	var sum string
	err := s.DB.Bypass.QueryRow(s.t.Context(), `select md5(string_agg(x, '|')) from (
		select f::text x from family f union all select l::text from learner l union all select p::text from person p
		union all select c::text from consent c union all select c::text from caseload c union all select i::text from invitation i
		union all select d::text from device d union all select a::text from account a order by 1) all_rows`).Scan(&sum)
	if err != nil {
		s.t.Fatal(err)
	}
	return sum
}
