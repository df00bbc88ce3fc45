package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"newel/internal/account"
	"newel/internal/app"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
	"newel/internal/view"
)

func TestAddingStaff(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.Credential(t, s.Administrator, "amaru@stair.example", hashOf(t, goodPassword, account.DefaultCost))
	b := s.as(s.Administrator)
	b.get("/people/new").want(http.StatusOK).check(htmlcheck.Count(`input[name="capacities"]`, 5))
	form := url.Values{"name": {"Pia Solde"}, "email": {"Pia@stair.example"}, "capacities": {"supervisor", "office"}, view.FormTokenName: {app.NewForm().Token.String()}}
	page := b.post("/people/new", form).want(http.StatusOK).check(htmlcheck.In("h1", htmlcheck.HasText("Pia Solde")))
	link := strings.TrimPrefix(page.text(".address code"), s.server.base.String())
	member := b.post("/people/new", form).want(http.StatusSeeOther).location // resubmitting shows no second link
	b.get(member).want(http.StatusOK).check(htmlcheck.NotIn(".address"), htmlcheck.In(`input[value="supervisor"][checked]`))

	pia := s.anybody()
	pia.get(link).want(http.StatusOK).check(htmlcheck.NotIn(`input[name="clinic"]`), htmlcheck.In(`input[name="name"][value="Pia Solde"]`))
	if got := pia.post(link, url.Values{"name": {"Pia"}, "password": {"pia@stair.example"}, "again": {"pia@stair.example"}}).error("password"); got == "" {
		t.Error("the person's own email address was accepted as a password")
	}
	pia.post(link, url.Values{"name": {"Pia Solde"}, "password": {goodPassword}, "again": {goodPassword}}).leads("/")
	pia.get("/").leads("/caseload")
	pia.get("/people").want(http.StatusForbidden).check()

	for field, change := range map[string]url.Values{
		"email":      {"email": {"PIA@stair.example"}},
		"name":       {"name": {""}},
		"capacities": {"capacities": {"caregiver"}},
	} {
		form := url.Values{"name": {"Nils"}, "email": {"nils@stair.example"}, "capacities": {"trainee"}}
		for k, v := range change {
			form[k] = v
		}
		if got := b.post("/people/new", form).error(field); got == "" {
			t.Errorf("no message beside %s", field)
		}
	}
	if got := b.post("/people/new", url.Values{"name": {"Nils"}, "email": {"nils@stair.example"}}).error("capacities"); got == "" {
		t.Error("no message without a capacity")
	}
	if n := s.count(`select count(*) from account where name = 'Nils'`); n != 0 {
		t.Error("a refused account was stored")
	}
}

func TestSetupLinksOfStaff(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.Credential(t, s.Supervisor, "tomas@stair.example", hashOf(t, goodPassword, account.DefaultCost))
	b, tomas := s.as(s.Administrator), s.as(s.Supervisor)
	path := "/people/" + s.Supervisor.Account.String()
	makeLink := func() string {
		return strings.TrimPrefix(b.post(path+"/link", nil).want(http.StatusOK).check().text(".address code"), s.server.base.String())
	}
	first := makeLink()
	second := makeLink()
	s.anybody().get(first).want(http.StatusGone)
	b.post(path+"/link/revoke", nil).leads(path)
	s.anybody().get(second).want(http.StatusGone)
	// Forgotten password: a new link sets a new password and ends all sign-ins.
	third := makeLink()
	tomas.get("/families").want(http.StatusOK)
	const better = "seven otters paint a fence"
	s.anybody().post(third, url.Values{"name": {"Tomas Rind"}, "password": {better}, "again": {better}}).leads("/")
	tomas.get("/families").want(http.StatusSeeOther)
}

func TestNoLinkWithoutAnAddress(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	path := "/people/" + s.Trainee.Account.String()
	if got := s.as(s.Administrator).post(path+"/link", nil).error("email"); got == "" {
		t.Error("a link was created for someone who could not sign in with it")
	}
}

func TestDeactivatingStaff(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.Credential(t, s.Administrator, "amaru@stair.example", hashOf(t, goodPassword, account.DefaultCost))
	s.Credential(t, s.Supervisor, "tomas@stair.example", "")
	b, tomas := s.as(s.Administrator), s.as(s.Supervisor)
	path := "/people/" + s.Supervisor.Account.String()
	link := strings.TrimPrefix(b.post("/people/"+s.Supervisor.Account.String()+"/link", nil).want(http.StatusOK).text(".address code"), s.server.base.String())
	tomas.get("/families").want(http.StatusOK)
	b.post(path+"/off", nil).leads(path)
	tomas.get("/families").want(http.StatusSeeOther)
	s.anybody().get(link).want(http.StatusGone)
	b.get(path).want(http.StatusOK).check(htmlcheck.NotIn(`form[action$="/link"]`))
	b.post(path+"/link", nil).want(http.StatusConflict)
	b.post(path+"/on", nil).leads(path)

	self := "/people/" + s.Administrator.Account.String()
	b.post(self+"/off", nil).want(http.StatusUnprocessableEntity).check(htmlcheck.In(".problems", htmlcheck.HasText("only administrator")))
	reply := b.post(self, url.Values{"name": {"Amaru"}, "email": {"amaru@stair.example"}, "capacities": {"office"}})
	if got := reply.error("capacities"); !strings.Contains(got, "only administrator") {
		t.Errorf("the last administrator stopped being one: %q", got)
	}
	b.post(self, url.Values{"name": {"Amaru Q."}, "email": {"amaru@stair.example"}, "capacities": {"administrator", "lead"}}).leads(self)
	b.get("/caseload") // now allowed
}

func TestTwoAdministratorsCannotDeactivateEachOther(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	second := s.Account(t, "Bea", newel.Administrator)
	s.Credential(t, s.Administrator, "a@stair.example", hashOf(t, goodPassword, account.DefaultCost))
	s.Credential(t, second, "b@stair.example", hashOf(t, goodPassword, account.DefaultCost))
	browsers := []*browser{s.as(s.Administrator), s.as(second)}
	others := []newel.Actor{second, s.Administrator}
	together(2, func(i int) int { return browsers[i].post("/people/"+others[i].Account.String()+"/off", nil).status })
	if n := s.count(`select count(*) from account where active and capacities @> array['administrator']`); n != 1 {
		t.Errorf("%d active administrators, want 1", n)
	}
}

func TestStaffOfAnotherClinic(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	b := s.as(s.Administrator)
	for _, id := range []string{s.Home.Caregiver.Account.String(), newel.NewID[newel.AccountID]().String(), "x"} {
		b.get("/people/" + id).want(http.StatusNotFound)
		for _, deed := range []string{"", "/link", "/link/revoke", "/off", "/on"} {
			b.post("/people/"+id+deed, url.Values{"name": {"x"}, "email": {"x@y.example"}, "capacities": {"lead"}}).want(http.StatusNotFound)
		}
	}
}

func TestClinicPage(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	b := s.as(s.Administrator)
	b.get("/clinic").want(http.StatusOK).check(htmlcheck.In(`input[name="clinic"][value="Stair House"]`))
	if got := b.post("/clinic", url.Values{"clinic": {"Rail House"}, "time_zone": {"Local"}}).error("time_zone"); got == "" {
		t.Error("no message beside the time zone")
	}
	b.post("/clinic", url.Values{"clinic": {"Rail House"}, "time_zone": {"Europe/Lisbon"}}).leads("/people")
	b.get("/people").want(http.StatusOK).check(htmlcheck.In(".pairs", htmlcheck.HasText("Rail House")))
}
