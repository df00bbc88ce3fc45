package say

import (
	"net/url"

	"newel/internal/message"
	"newel/internal/view"
)

// Look is how a progress page is to be displayed.
type Look struct {
	byDay bool
	sort  string // column of the table; empty for the default order
	down  bool
}

// LookOf reads a Look from a query.
func LookOf(values url.Values) Look {
	return Look{byDay: values.Get("x") == "day", sort: values.Get("sort"), down: values.Get("dir") == "down"}
}

// href returns the page's own address with this Look.
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
