package httpd

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) caseload(w http.ResponseWriter, r *http.Request) error {
	return s.showCaseload(w, r, http.StatusOK, "")
}

func (s *Server) showCaseload(w http.ResponseWriter, r *http.Request, status int, wrong string) error {
	actor, t := mustActor(r), s.printer(r)
	c, err := s.app.Caseload(r.Context(), actor, caseloadFilter(r.URL.Query()))
	if err != nil {
		return err
	}
	m := say.CaseloadPage(t, c, actor.Can(newel.Decide))
	m.Checks = say.CheckLines(t, c)
	m.Incidents, m.Unread = say.IncidentCalls(t, c.Incidents), say.UnreadLines(t, c)
	m.Agreed = say.Unowned(say.ActionLines(t, actor, c.Agreed, newel.DayOf(c.At, c.Zone), func(newel.Action) bool { return true }))
	for i := range m.Agreed {
		m.Agreed[i].Back = "caseload"
	}
	notice := wrong
	if seen, err := strconv.Atoi(r.URL.Query().Get("seen")); err == nil && notice == "" {
		left, _ := strconv.Atoi(r.URL.Query().Get("left"))
		notice = t.Text("caseload.seen", "n", seen)
		if left > 0 {
			notice += " " + t.Text("caseload.left", "n", left)
		}
	}
	return s.page(w, r, status, page{Title: t.Text("nav.caseload"), Section: "caseload", Notice: notice}, view.Caseload(m))
}

func caseloadFilter(q url.Values) reading.CaseloadFilter {
	f := reading.CaseloadFilter{
		Supervisor: q.Get("supervisor"), Family: q.Get("family"), Program: q.Get("program"), Group: reading.Group(q.Get("group")),
		Sort: reading.CaseloadSort(q.Get("sort")), Down: q.Get("dir") == "down",
	}
	f.Page, _ = strconv.Atoi(q.Get("page"))
	return f
}

// seenTogether marks the ticked rows as seen, or all programs in a family's
// row.
func (s *Server) seenTogether(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if f.Values == nil {
		return err
	}
	var rows []app.SeenRow
	for _, text := range f.Values["row"] {
		for one := range strings.SplitSeq(text, ",") {
			id, after, _ := strings.Cut(one, ":")
			placement, parseErr := newel.ParseID[newel.PlacementID](id)
			if parseErr != nil {
				return parseErr
			}
			rows = append(rows, app.SeenRow{Placement: placement, After: after})
		}
	}
	to := ""
	if err == nil {
		to, err = s.app.SeenTogether(r.Context(), mustActor(r), f.token, rows)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		wrong := problems["row"]
		if wrong == "" {
			wrong = problems["form"]
		}
		return s.showCaseload(w, r, http.StatusUnprocessableEntity, wrong)
	})
}
