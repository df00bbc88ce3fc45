package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"newel/internal/app"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
	"newel/internal/view"
)

// invite creates an invitation as the supervisor and returns its path.
func (s *site) invite(person newel.PersonID) string {
	s.t.Helper()
	return s.inviteBy(s.Supervisor, person)
}

func (s *site) inviteBy(supervisor newel.Actor, person newel.PersonID) string {
	s.t.Helper()
	reply := s.as(supervisor).post("/persons/"+person.String()+"/invite", nil).want(http.StatusOK).check(htmlcheck.In(".qr svg title", htmlcheck.HasText("invitation")))
	link := reply.text(".address code")
	path, found := strings.CutPrefix(link, s.server.base.String())
	if !found || !strings.HasPrefix(path, "/join/") {
		s.t.Fatalf("link %q", link)
	}
	return path
}

func TestInvitation(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	link := s.invite(s.Home.Other)
	phone := s.anybody()
	phone.get(link).want(http.StatusOK).check(htmlcheck.Count("main form", 1), htmlcheck.In("main form button", htmlcheck.HasText("Sami")))
	if n := s.count(`select count(*) from invitation where consumed_at is not null`); n != 0 {
		t.Error("viewing an invitation used it up")
	}
	reply := phone.post(link, nil).leads("/today")
	c := reply.cookies[len(reply.cookies)-1]
	if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Path != "/" || c.MaxAge != 400*24*3600 {
		t.Errorf("cookie %+v", c)
	}
	phone.get("/").leads("/today")
	if n := s.count(`select count(*) from account a join person p on p.account_id = a.id where p.name = 'Sami' and a.capacities = array['caregiver']`); n != 1 {
		t.Errorf("%d accounts of the person, want 1", n)
	}
	s.as(s.Supervisor).get("/families/" + s.Home.ID.String()).want(http.StatusOK).check(
		htmlcheck.Count(".device", 1))
}

func TestInvitationWorksOnce(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	link := s.invite(s.Home.Other)
	s.anybody().post(link, nil).leads("/today")
	late := s.anybody()
	late.get(link).want(http.StatusGone).check(htmlcheck.In("h1", htmlcheck.HasText("no longer works")))
	reply := late.post(link, nil).want(http.StatusGone).check()
	if len(reply.cookies) != 0 {
		t.Errorf("cookies %v", reply.cookies)
	}
	if n := s.count(`select count(*) from device`); n != 1 {
		t.Errorf("%d devices, want 1", n)
	}
}

func TestConcurrentInvitationUse(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	link := s.invite(s.Home.Other)
	statuses := together(5, func(int) int { return s.anybody().post(link, nil).status })
	if statuses[http.StatusSeeOther] != 1 || statuses[http.StatusGone] != 4 {
		t.Errorf("statuses %v, want one 303 and four 410", statuses)
	}
	if n := s.count(`select count(*) from account where name = 'Sami'`); n != 1 {
		t.Errorf("%d accounts, want 1", n)
	}
	if n := s.count(`select count(*) from device`); n != 1 {
		t.Errorf("%d devices, want 1", n)
	}
}

// A double click: the same form sent twice links the same browser once.
func TestInvitationSentTwiceByOneBrowser(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	link := s.invite(s.Home.Other)
	form := url.Values{view.FormTokenName: {app.NewForm().Token.String()}}
	phone := s.anybody()
	statuses := together(3, func(int) int { return s.anybody().post(link, form).status })
	if statuses[http.StatusSeeOther] != 3 {
		t.Errorf("statuses %v, want 303 three times", statuses)
	}
	phone.post(link, form).leads("/today")
	phone.get("/").leads("/today")
	if n := s.count(`select count(*) from device`); n != 1 {
		t.Errorf("%d devices, want 1", n)
	}
}

func TestTwoInvitationsOfOnePersonMakeOneAccount(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	first := s.invite(s.Home.Other)
	second := s.invite(s.Home.Other)
	s.anybody().get(first).want(http.StatusGone)
	s.anybody().post(second, nil).leads("/today")
	s.anybody().post(s.invite(s.Home.Other), nil).leads("/today")
	if n := s.count(`select count(*) from account where name = 'Sami'`); n != 1 {
		t.Errorf("%d accounts, want 1", n)
	}
	if n := s.count(`select count(*) from device`); n != 2 {
		t.Errorf("%d devices, want 2", n)
	}
}

func TestInvitationExpiresAndIsRevoked(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	link := s.invite(s.Home.Other)
	s.clock.Set(s.clock.Now().Add(newel.InvitationDays*24*time.Hour - time.Minute))
	s.anybody().get(link).want(http.StatusOK)
	s.clock.Set(s.clock.Now().Add(time.Minute))
	s.anybody().get(link).want(http.StatusGone).check()
	s.anybody().post(link, nil).want(http.StatusGone)

	link = s.invite(s.Home.Other)
	supervisor := s.as(s.Supervisor)
	revoke := supervisor.get("/families/"+s.Home.ID.String()).attr(`form[action^="/invitations/"]`, "action")
	supervisor.post(revoke, nil).leads("/families/" + s.Home.ID.String())
	s.anybody().get(link).want(http.StatusGone)
	s.anybody().post(link, nil).want(http.StatusGone)
	supervisor.post(revoke, nil).want(http.StatusGone).check()
}

// TestUsedInvitationLeadsToToday checks that families can open the link in their
// chat again: on their own phone it leads to Today, whether the phone is locked
// or someone else is using it. On another phone it does not.
func TestUsedInvitationLeadsToToday(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	first := s.invite(s.Home.Other)
	phone := s.anybody()
	phone.post(first, nil).leads("/today")
	phone.get(first).leads("/today")
	phone.post(first, nil).leads("/today")

	s.anybody().get(first).want(http.StatusGone)
	stranger := s.as(s.NextDoor.Caregiver)
	stranger.get(first).want(http.StatusGone)
	s.as(s.Supervisor).get(first).want(http.StatusGone)

	// Someone else joins on the same phone and uses it.
	second := s.inviteBy(s.Lead, s.NextDoor.Other)
	phone.post(second, nil).leads("/today")
	phone.get(second).leads("/today")
	phone.get(first).leads("/today#who")

	// The phone is locked.
	phone.ask("/phone/pin", `{"pin": "4711"}`).want(http.StatusOK)
	phone.ask("/phone/lock", `{}`).want(http.StatusOK)
	phone.get(first).leads("/today")
	phone.get(second).leads("/today")
}

func TestInvitationFormSentTwiceShowsNoSecondLink(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	form := url.Values{view.FormTokenName: {app.NewForm().Token.String()}}
	b := s.as(s.Supervisor)
	path := "/persons/" + s.Home.Other.String() + "/invite"
	b.post(path, form).want(http.StatusOK)
	b.post(path, form).leads("/families/" + s.Home.ID.String())
	if n := s.count(`select count(*) from invitation`); n != 1 {
		t.Errorf("%d invitations, want 1", n)
	}
}

func TestSupervisorWhoOpensAnInvitationBecomesTheCaregiver(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	link := s.invite(s.Home.Other)
	b := s.as(s.Supervisor)
	b.post(link, nil).leads("/today")
	b.get("/").leads("/today")
	b.get("/families").want(http.StatusForbidden)
}

func TestLeaving(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	phone := s.as(s.Home.Caregiver)
	phone.post("/sign-out", nil).leads("/leave") // where the phone encrypts unsent sessions and warns
	phone.get("/leave").want(http.StatusOK)
	stolen := s.anybody()
	for name, value := range phone.cookies {
		stolen.cookies[name] = value
	}
	phone.ask("/phone/lock", `{"for_good": true}`).want(http.StatusOK)
	if len(phone.cookies) != 0 {
		t.Errorf("cookies kept: %v", phone.cookies)
	}
	stolen.get("/phone/day").want(http.StatusUnauthorized)
}

func TestRemovingAccess(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	phone := s.as(s.Home.Caregiver)
	phone.get("/").leads("/today")
	b := s.as(s.Supervisor)
	cut := b.get("/families/"+s.Home.ID.String()).attr(`form[action^="/devices/"]`, "action")
	b.post(cut, nil).leads("/families/" + s.Home.ID.String())
	phone.get("/").leads("/sign-in")
	b.get("/families/" + s.Home.ID.String()).check(htmlcheck.In("main", htmlcheck.HasText("Access removed from every browser")))
}

func TestDeviceCookieIsRenewedOncePerDay(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	phone := s.as(s.Home.Caregiver)
	if got := phone.get("/").cookies; len(got) != 0 {
		t.Errorf("renewed on the first day: %v", got)
	}
	s.clock.Set(s.clock.Now().Add(24 * time.Hour))
	if got := phone.get("/").cookies; len(got) != 1 || got[0].MaxAge != 400*24*3600 {
		t.Errorf("not renewed the day after: %v", got)
	}
	if got := phone.get("/").cookies; len(got) != 0 {
		t.Errorf("renewed twice: %v", got)
	}
}
