package say

import (
	"net/url"

	"newel/internal/message"
	"newel/internal/view"
)

// Look is how somebody wants to look at a progress page.
type Look struct {
	byDay bool
	sort  string // column of the table; empty: in order
	down  bool
}

// LookOf reads a look from a query.
func LookOf(values url.Values) Look {
	return Look{byDay: values.Get("x") == "day", sort: values.Get("sort"), down: values.Get("dir") == "down"}
}

// href is the page's own address with another look.
func (l Look) href(path, anchor string) string {
	values := url.Values{}
	if l.byDay {
		values.Set("x", "day")
	}
	if l.sort != "" {
		values.Set("sort", l.sort)
	}
	if l.down {
		values.Set("dir", "down")
	}
	if q := values.Encode(); q != "" {
		path += "?" + q
	}
	return path + "#" + anchor
}

func looksOf(t *message.Printer, path string, l Look) []view.Link {
	session, day := l, l
	session.byDay, day.byDay = false, true
	links := []view.Link{{Label: t.Text("graph.by_session"), Href: session.href(path, "graph")}, {Label: t.Text("graph.by_day"), Href: day.href(path, "graph")}}
	if l.byDay {
		links[1].Href = ""
	} else {
		links[0].Href = ""
	}
	return links
}
