package httpd

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/recording"
	"newel/internal/view"
)

// TestNobody checks that visitors who are not signed in are sent to the sign-in
// page, and that programs get an error instead.
func TestNobody(t *testing.T) {
	t.Parallel()
	s := newHouse(t)
	before := tenants.Look(t, s.db.Bypass)
	for name, r := range routesOf(t, s) {
		if r.Public {
			continue
		}
		want := http.StatusUnauthorized
		page := r.Method == http.MethodGet && !strings.HasPrefix(r.Pattern, href.Phone)
		if page {
			want = http.StatusSeeOther
		}
		res, body := probes[name][0].do(t, s, r, nil, s.world.Here.Families[0], false)
		if res.StatusCode != want || page && !strings.HasPrefix(res.Header.Get("Location"), "/sign-in") {
			t.Errorf("%s without sign-in: status %d to %q, want %d", name, res.StatusCode, res.Header.Get("Location"), want)
		}
		if mark := tenants.Found(body, []string{"zz"}); mark != "" { // the location contains only the address that the visitor requested
			t.Errorf("%s without sign-in shows content: %s", name, body)
		}
	}
	wantUnchanged(t, s, before, "without sign-in")
}

func wantUnchanged(t *testing.T, s *house, before tenants.Snapshot, what string) {
	t.Helper()
	after := tenants.Look(t, s.db.Bypass)
	for _, row := range before.Minus(after) {
		t.Errorf("%s: changed or deleted in %s: %s", what, row.Table, row.Text)
	}
	for _, row := range after.Minus(before) {
		t.Errorf("%s: added to %s: %s", what, row.Table, row.Text)
	}
}

// TestRefused checks that a capacity without the permission is refused, and
// that one with it finds nothing out of its reach. Neither changes anything.
func TestRefused(t *testing.T) {
	t.Parallel()
	s := newHouse(t)
	f, w := s.world.Here.Families[0], s.world
	everybody := slices.Concat(visitors(w.Here, f, ""), visitors(w.Here, w.Here.Families[1], "other family's "), visitors(w.Elsewhere, w.Elsewhere.Families[0], "other clinic's "))
	before := tenants.Look(t, s.db.Bypass)
	for name, r := range routesOf(t, s) {
		if r.Public {
			continue
		}
		for _, p := range probes[name] {
			for _, v := range everybody {
				allowed := v.capacity.Allows(r.Needs)
				if allowed && (p.of == ofSelf || v.reaches(p, f) || p.quiet != "") {
					continue // TestAllowed, TestCanary, TestQuiet
				}
				p.refused(t, s, r, v, allowed)
			}
		}
	}
	wantUnchanged(t, s, before, "by people without permission")
}

func (p probe) refused(t *testing.T, s *house, r Route, v visitor, allowed bool) {
	t.Helper()
	f := s.world.Here.Families[0]
	for _, empty := range p.forms(r) { // the result must not depend on whether a form is complete
		res, page := p.do(t, s, r, &v, f, empty)
		switch {
		case res.StatusCode == http.StatusNotFound:
		case res.StatusCode == http.StatusForbidden && (!allowed || p.narrower[v.capacity] != ""):
		default:
			t.Errorf("%s %s as %s: status %d to %q", r.Method, r.Pattern, v.name, res.StatusCode, res.Header.Get("Location"))
		}
		if mark := tenants.Found(page, []string{f.Mark, f.LibraryMark}); mark != "" {
			t.Errorf("%s %s as %s: status %d shows %s", r.Method, r.Pattern, v.name, res.StatusCode, mark)
		}
	}
}

// forms returns the forms to try a route with: filled in, and empty except for
// the token if that is a different request.
func (p probe) forms(r Route) []bool {
	if r.Method != http.MethodPost || p.body != nil || p.form == nil {
		return []bool{false}
	}
	return []bool{false, true}
}

// TestQuiet checks that where someone out of reach gets a normal answer, the
// only effect is a row of their own.
func TestQuiet(t *testing.T) {
	t.Parallel()
	all := routesOf(t, newHouse(t))
	for name, list := range probes {
		for _, p := range list {
			if p.quiet == "" {
				continue
			}
			s := newHouse(t)
			f := s.world.Here.Families[0]
			for _, v := range []visitor{caregiverOf(s.world.Here.Families[1], "other family's caregiver"), caregiverOf(s.world.Elsewhere.Families[0], "other clinic's caregiver")} {
				before := tenants.Look(t, s.db.Bypass)
				if res, page := p.do(t, s, all[name], &v, f, false); res.StatusCode >= 300 || tenants.Found(page, []string{f.Mark}) != "" {
					t.Errorf("%s as %s: status %d: %s", name, v.name, res.StatusCode, page)
				}
				after := tenants.Look(t, s.db.Bypass)
				for _, row := range before.Minus(after) {
					t.Errorf("%s as %s: changed or deleted in %s: %s", name, v.name, row.Table, row.Text)
				}
				for _, row := range after.Minus(before) {
					if row.Table != "quarantine" || row.Clinic != v.clinic.String() || !strings.Contains(row.Text, v.account.String()) {
						t.Errorf("%s as %s: added to %s: %s", name, v.name, row.Table, row.Text)
					}
				}
			}
		}
	}
}

// TestAllowed is the control: authorized people succeed with the same requests.
// Each changing request gets its own database, and another one if a visitor
// would find the change already made.
func TestAllowed(t *testing.T) {
	t.Parallel()
	shared := newHouse(t)
	for name, r := range routesOf(t, shared) {
		if r.Public {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for _, p := range probes[name] {
				s := shared
				if r.Method != http.MethodGet {
					s = newHouse(t)
				}
				for _, v := range visitors(s.world.Here, s.world.Here.Families[0], "") {
					if !v.capacity.Allows(r.Needs) {
						continue
					}
					wrong := p.allowed(t, s, r, v)
					if wrong != "" && s != shared {
						wrong = p.allowed(t, newHouse(t), r, v)
					}
					if wrong != "" {
						t.Errorf("as %s: %s", v.name, wrong)
					}
				}
			}
		})
	}
}

// allowed returns what is wrong with the answer to an authorized visitor, or
// "".
func (p probe) allowed(t *testing.T, s *house, r Route, v visitor) string {
	t.Helper()
	if p.before != "" {
		if _, err := s.db.Bypass.Exec(t.Context(), p.before); err != nil {
			t.Fatal(err)
		}
	}
	res, page := p.do(t, s, r, &v, s.world.Here.Families[0], false)
	if want := p.wanted(r, v); res.StatusCode != want {
		return fmt.Sprintf("status %d, want %d\n%s", res.StatusCode, want, excerpt(page))
	}
	if to, _, _ := strings.Cut(res.Header.Get("Location"), "#"); res.StatusCode == http.StatusSeeOther && to != "" {
		if next := s.send(t, &v, http.MethodGet, to, "", ""); next.StatusCode >= 400 && !strings.HasPrefix(to, "/sign-in") {
			return fmt.Sprintf("redirects to %s, which answers %d", to, next.StatusCode)
		}
	}
	if trace := tenants.Found(page, s.world.Elsewhere.Traces()); trace != "" {
		return "shows " + trace + " of another clinic"
	}
	return ""
}

// wanted returns the expected status for authorized visitors.
func (p probe) wanted(r Route, v visitor) int {
	switch {
	case p.narrower[v.capacity] != "":
		return http.StatusForbidden
	case p.want != 0:
		return p.want
	case r.Method == http.MethodGet:
		return http.StatusOK
	}
	return http.StatusSeeOther
}

// excerpt returns the text of a page for a message.
func excerpt(page string) string {
	for _, part := range []string{`class="problems"`, "<main"} {
		if i := strings.Index(page, part); i >= 0 {
			page = page[i:]
			break
		}
	}
	return page[:min(len(page), 800)]
}

// TestCanary checks that no page, with the visitor's own ids or without, shows
// anything of another family. Every text of every family carries a mark.
func TestCanary(t *testing.T) {
	t.Parallel()
	s := newHouse(t)
	one, two := s.world.Here.Families[0], s.world.Here.Families[1]
	for name, r := range routesOf(t, s) {
		if r.Method != http.MethodGet || r.Public {
			continue
		}
		p := probes[name][0]
		for _, v := range append(visitors(s.world.Here, two, ""), visitors(s.world.Elsewhere, s.world.Elsewhere.Families[0], "other clinic's ")...) {
			own := two
			if v.clinic != two.Clinic {
				own = s.world.Elsewhere.Families[0]
			}
			res, page := p.do(t, s, r, &v, own, false)
			var hidden []string
			switch {
			case v.clinic != one.Clinic:
				hidden = s.world.Here.Traces()
			case v.families == nil:
			case v.capacity.IsStaff():
				hidden = one.Traces()
			default:
				hidden = slices.Concat(one.Traces(), one.StaffTraces())
			}
			if trace := tenants.Found(page, hidden); trace != "" {
				t.Errorf("%s as %s: status %d shows %s", name, v.name, res.StatusCode, trace)
			}
		}
	}
}

// TestOpenDoors checks that routes without sign-in need a key, and that a wrong
// key finds nothing.
func TestOpenDoors(t *testing.T) {
	t.Parallel()
	s := newHouse(t)
	c := s.world.Here
	password := fields("name", "New", "password", "quinces over wet slate", "again", "quinces over wet slate")(c, c.Families[0])
	for _, door := range []struct {
		method, path string
		form         url.Values
		want         int
	}{
		{"GET", "/", nil, http.StatusSeeOther},
		{"GET", "/sign-in", nil, http.StatusOK},
		{"POST", "/sign-in", fields("email", "nobody@example.org", "password", "wrong")(c, c.Families[0]), http.StatusUnprocessableEntity},
		{"POST", "/sign-out", nil, http.StatusSeeOther},
		{"GET", "/setup/wrong", nil, http.StatusNotFound},
		{"POST", "/setup/wrong", password, http.StatusNotFound},
		{"GET", "/setup/" + c.SetupToken, nil, http.StatusOK},
		{"POST", "/setup/" + c.SetupToken, password, http.StatusSeeOther},
		{"POST", "/setup/" + c.SetupToken, password, http.StatusGone},
		{"GET", "/join/wrong", nil, http.StatusNotFound},
		{"POST", "/join/wrong", nil, http.StatusNotFound},
		{"GET", "/join/" + c.Families[0].InvitationToken, nil, http.StatusOK},
		{"POST", "/join/" + c.Families[0].InvitationToken, nil, http.StatusSeeOther},
		{"POST", "/join/" + c.Families[0].InvitationToken, nil, http.StatusGone},
		{"GET", "/demo/wrong/supervisor", nil, http.StatusNotFound},
		{"POST", "/demo/wrong/supervisor", nil, http.StatusNotFound},
		{"GET", "/demo/key/nobody", nil, http.StatusNotFound},
		{"GET", "/demo/key/supervisor", nil, http.StatusOK},
		{"POST", "/demo/key/supervisor", nil, http.StatusSeeOther},
		{"GET", "/healthz", nil, http.StatusOK},
		{"GET", "/readyz", nil, http.StatusOK},
		{"GET", "/nowhere", nil, http.StatusNotFound},
		{"DELETE", "/families", nil, http.StatusMethodNotAllowed},
	} {
		kind, body := "", ""
		if door.method == http.MethodPost {
			values := url.Values{view.FormTokenName: {app.NewForm().Token.String()}}
			for k, v := range door.form {
				values[k] = v
			}
			kind, body = formKind, values.Encode()
		}
		res := s.send(t, nil, door.method, door.path, kind, body)
		page, err := io.ReadAll(res.Body)
		if err != nil {
			t.Fatal(err)
		}
		wantStrict(t, door.method+" "+door.path, res, string(page))
		if res.StatusCode != door.want {
			t.Errorf("%s %s: status %d, want %d: %s", door.method, door.path, res.StatusCode, door.want, excerpt(string(page)))
		}
	}
}

// TestOtherSites checks that forms sent by another site's page have no effect.
func TestOtherSites(t *testing.T) {
	t.Parallel()
	s := newHouse(t)
	before := tenants.Look(t, s.db.Bypass)
	f := s.world.Here.Families[0]
	for name, r := range routesOf(t, s) {
		if r.Method == http.MethodGet || r.Public {
			continue
		}
		p := probes[name][0]
		for _, v := range visitors(s.world.Here, f, "") {
			req := httptest.NewRequestWithContext(t.Context(), r.Method, "http://newel.example"+p.address(r.Pattern, s.world.Here, f), nil)
			req.Header.Set("Sec-Fetch-Site", "cross-site")
			req.Header.Set("Origin", "https://elsewhere.example")
			req.AddCookie(s.cookie(t, v))
			w := httptest.NewRecorder()
			s.ServeHTTP(w, req)
			if w.Code != http.StatusForbidden {
				t.Errorf("%s from another site as %s: status %d", name, v.name, w.Code)
			}
		}
	}
	wantUnchanged(t, s, before, "from another site")
}

// TestSeveralCapacities checks that the permissions of one capacity do not
// extend to what another reaches. Office staff who supervise one family see
// contacts everywhere, but a learner's page only in that family. A lead who is
// also a parent sees the own child at home, not the whole clinic.
func TestSeveralCapacities(t *testing.T) {
	t.Parallel()
	s := newHouse(t)
	one, two := s.world.Here.Families[0], s.world.Here.Families[1]
	for id, capacities := range map[newel.AccountID]string{two.Supervisor: "{office,supervisor}", two.Caregiver: "{lead,caregiver}"} {
		if _, err := s.db.Bypass.Exec(t.Context(), `update account set capacities = $1 where id = $2`, capacities, id); err != nil {
			t.Fatal(err)
		}
	}
	both := visitor{name: "office and supervisor", clinic: two.Clinic, account: two.Supervisor}
	parent := caregiverOf(two, "lead and parent")
	for _, c := range []struct {
		who  visitor
		path string
		want int
		mark bool // of family one
	}{
		{both, "/families/" + one.ID.String(), http.StatusOK, true},
		{both, "/learners/" + two.Learner.String(), http.StatusOK, false},
		{both, "/learners/" + one.Learner.String(), http.StatusNotFound, false},
		{both, "/placements/" + one.Placement.String(), http.StatusNotFound, false},
		{both, "/recordings/" + one.Recording.String(), http.StatusNotFound, false},
		{both, "/caseload", http.StatusOK, false},
		{parent, "/today", http.StatusOK, false},
		{parent, "/caseload", http.StatusOK, true},
	} {
		res := s.send(t, &c.who, http.MethodGet, c.path, "", "")
		page, err := io.ReadAll(res.Body)
		if err != nil {
			t.Fatal(err)
		}
		if found := tenants.Found(string(page), []string{one.Mark}) != ""; res.StatusCode != c.want || found != c.mark {
			t.Errorf("%s at %s: status %d, want %d; shows the other family: %v, want %v", c.who.name, c.path, res.StatusCode, c.want, found, c.mark)
		}
	}
}

// TestTakenIDsRevealNothing checks that a phone that sends a recording under
// another family's id, or for their placement, gets the same answer as if it
// did not exist.
func TestTakenIDsRevealNothing(t *testing.T) {
	t.Parallel()
	s := newHouse(t)
	one, two := s.world.Here.Families[0], s.world.Here.Families[1]
	sender := caregiverOf(two, "other family's caregiver")
	before := tenants.Look(t, s.db.Bypass)
	heard := map[string]string{}
	for name, c := range map[string]struct {
		id        newel.RecordingID
		placement newel.PlacementID
	}{
		"an unknown placement":            {tenants.ID[newel.RecordingID]("a"), tenants.ID[newel.PlacementID]("a")},
		"another family's placement":      {tenants.ID[newel.RecordingID]("b"), one.Placement},
		"another family's recording":      {one.Recording, two.Placement},
		"another family's open recording": {one.Running, one.Placement},
		"another clinic's placement":      {tenants.ID[newel.RecordingID]("c"), s.world.Elsewhere.Families[0].Placement},
	} {
		d := tenants.Session{ID: c.id, Placement: c.placement, Author: two.Caregiver, By: two.Person, Mark: "sent", Target: two.Target}.Document()
		res := s.send(t, &sender, http.MethodPut, "/recordings/"+c.id.String(), recording.MediaType, string(d.Encode()))
		var receipt recording.Receipt
		if err := json.NewDecoder(res.Body).Decode(&receipt); err != nil {
			t.Fatalf("%s: status %d: %v", name, res.StatusCode, err)
		}
		receipt.ID, receipt.SHA256 = newel.RecordingID{}, ""
		heard[name] = fmt.Sprintf("%d %+v", res.StatusCode, receipt)
	}
	for name, what := range heard {
		if want := heard["an unknown placement"]; what != want {
			t.Errorf("%s gets %s, and an unknown placement %s", name, what, want)
		}
	}
	after := tenants.Look(t, s.db.Bypass)
	for _, row := range before.Minus(after) {
		t.Errorf("changed or deleted in %s: %s", row.Table, row.Text)
	}
	for _, row := range after.Minus(before) {
		if row.Table != "quarantine" {
			t.Errorf("added to %s: %s", row.Table, row.Text)
		}
	}
}
