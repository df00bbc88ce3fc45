package httpd

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
)

// teachOn records sessions on a placement, a day apart from now on, taught by
// by. The clock ends at the last session.
func (s *site) teachOn(id newel.PlacementID, by newel.PersonID, marks ...string) {
	s.t.Helper()
	for _, m := range marks {
		start := s.clock.Now().Add(time.Hour)
		s.clock.Set(start.Add(23 * time.Hour))
		document := fixture.Session{House: s.Home.Household(id), By: by, Start: start, Marks: m}.Document()
		if _, err := s.app.StoreRecording(s.t.Context(), s.Home.Caregiver, app.Delivered{ID: document.ID, Body: document.Encode()}); err != nil {
			s.t.Fatal(err)
		}
	}
}

func (s *site) openPlacement() (id newel.PlacementID) {
	s.t.Helper()
	if err := s.DB.Bypass.QueryRow(s.t.Context(), `select id from placement where family_id = $1 and ended_at is null`, s.Home.ID).Scan(&id); err != nil {
		s.t.Fatal(err)
	}
	return id
}

func TestProgressAcrossPlacements(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	first := s.taught(fixture.WashingHands(), "aaaan", "aaaaa", "aaaa1")
	supervisor := s.as(s.Supervisor)
	advance := with(supervisor.get("/placements/"+first.String()).form("#decide-form"), "kind", "advance", "expected", "Both parts in a week", "expected_by", "2027-01-01")
	supervisor.post("/placements/"+first.String()+"/decide", advance)
	second := s.openPlacement()
	path := "/placements/" + second.String()

	// A placement without sessions keeps its place in the drawing.
	supervisor.get(path).want(http.StatusOK).check(
		htmlcheck.Count("svg.graph .d-phase", 1), htmlcheck.Count("details.table tbody tr", 3), htmlcheck.NotIn("#by-person"),
	)
	s.teachOn(second, newel.PersonID{}, "n1nn2", "aannn")
	s.teachOn(second, s.Home.Other, "nnnnn")
	s.clock.Set(s.clock.Now().AddDate(0, 0, 12)) // then no sessions for a while
	s.teachOn(second, s.Home.Other, "annnn")

	page := supervisor.get(path).want(http.StatusOK).check(
		htmlcheck.Count("svg.graph", 1), htmlcheck.Count("svg.graph a", 7), htmlcheck.In("svg.graph .t-bold", htmlcheck.HasExactText("B1")),
		htmlcheck.In("svg.graph .t-halo", htmlcheck.HasExactText("met")),
		htmlcheck.In(".key", htmlcheck.HasText("a new step"), htmlcheck.HasText("criterion")),
		htmlcheck.Count("#sessions tbody tr", 7), htmlcheck.NotIn("#sessions[open]"),
		htmlcheck.In("#sessions", htmlcheck.HasText("2 of 5")),
		htmlcheck.Count("section[aria-labelledby=by-person] .panels li", 2), htmlcheck.In("section[aria-labelledby=by-person]", htmlcheck.HasText("1 of 10"), htmlcheck.HasText("2 of 10")),
		htmlcheck.In("section[aria-labelledby=support]", htmlcheck.HasText("3 of 20 in the latest sessions"), htmlcheck.HasText("Wilson")),
		htmlcheck.In(".story", htmlcheck.HasText("Led to"), htmlcheck.HasText("Both parts in a week"), htmlcheck.HasText("0 of 5 on")),
		htmlcheck.In(".flight", htmlcheck.HasText("learned")), htmlcheck.In(".flight a[href='/placements/"+first.String()+"']"),
	)
	if d := page.attr("svg.graph .d-path", "d"); strings.Count(d, "M") != 2 {
		t.Errorf("the path should break at the phase line and over the gap, and leave a single session unconnected: %s", d)
	}
	// The table sorts without script, and stays open.
	sorted := supervisor.get(path+"?sort=result&dir=down&x=day").want(http.StatusOK).check(
		htmlcheck.In("#sessions[open]"), htmlcheck.In("th[aria-sort=descending]", htmlcheck.HasText("Result")),
		htmlcheck.In(".looks b", htmlcheck.HasExactText("By day")), htmlcheck.In(".looks a", htmlcheck.HasExactText("By session")),
	)
	if text := sorted.text("#sessions tbody tr"); !strings.Contains(text, "5 of 5") {
		t.Errorf("the best session should come first: %s", text)
	}
	// The first placement's own page shows the same course.
	supervisor.get("/placements/"+first.String()).check(htmlcheck.Count("svg.graph a", 7), htmlcheck.In(".now", htmlcheck.HasText("This step ended")))
}

func TestProgressOfTwoRolesHasTwoGraphs(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	finder := s.taught(fixture.WhichCup(), "aaaaa", "aaaaa")
	supervisor := s.as(s.Supervisor)
	path := "/placements/" + finder.String()
	supervisor.post(path+"/decide", with(supervisor.get(path).form("#decide-form"), "kind", "advance"))
	var hider newel.PlacementID
	if err := s.DB.Bypass.QueryRow(t.Context(), `select id from placement where family_id = $1 and strand_key = 'hider'`, s.Home.ID).Scan(&hider); err != nil {
		t.Fatal(err)
	}
	s.teachOn(hider, newel.PersonID{}, "nnn1a")
	supervisor.get("/placements/"+hider.String()).check(htmlcheck.Count("svg.graph", 2), htmlcheck.Count(".graphhead", 2), htmlcheck.Count("#sessions tbody tr", 3))
}

func TestFamilyLanguageIsShownByName(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.Exec(t, `update family set language = 'ms' where id = @id`, pgx.NamedArgs{"id": s.Home.ID})
	path := "/families/" + s.Home.ID.String()
	s.as(s.Lead).get(path).want(http.StatusOK).check(htmlcheck.In(".lede", htmlcheck.HasText("Malay")))
	s.as(s.Lead).get(path + "/edit").want(http.StatusOK).check(htmlcheck.In("option[value=ms]", htmlcheck.HasExactText("Malay")))
}
