package httpd

import (
	"net/http"
	"net/url"
	"testing"

	"golang.org/x/net/html"

	"newel/internal/href"
	"newel/internal/htmlcheck"
)

func TestPromptHierarchies(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	lead, trainee := s.as(s.Lead), s.as(s.Trainee)

	six := url.Values{"name": {"Our rail"}, "levels": {"a\nb\nc\nd\ne\nf"}}
	lead.post(href.HelpScales, six).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In(".problems li", htmlcheck.HasText("5 at most")), htmlcheck.In("textarea", htmlcheck.HasText("e f")))
	lead.post(href.HelpScales, url.Values{"name": {"Our rail"}, "levels": {"point\nshow\nlight touch (touch)"}}).want(http.StatusSeeOther)
	lead.post(href.HelpScales, url.Values{"name": {"our RAIL"}, "levels": {"point"}}).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In(".problems li", htmlcheck.HasText("already a hierarchy called “Our rail”")))
	trainee.get(href.HelpScales).want(http.StatusOK).check(htmlcheck.Count(".skillrows ol li", 3), htmlcheck.Count("main form", 0))

	draft := begin(trainee)
	typed := with(trainee.get(draft).want(http.StatusOK).form("#draft"), "purpose", "Clean hands.", "do", "take-scale")
	trainee.post(draft, typed).want(http.StatusSeeOther)
	values := trainee.get(draft).want(http.StatusOK).form("#draft")
	if got := values.Get("help_levels"); got != "point\nshow\nlight touch (touch)" || values.Get("purpose") != "Clean hands." {
		t.Errorf("the draft has %q for %q", got, values.Get("purpose"))
	}

	scale := ""
	lead.get(href.HelpScales).check(htmlcheck.In(".skillrows a", htmlcheck.HasText("Our rail")), htmlcheck.Each(".skillrows a", func(n *html.Node) error {
		scale, _ = htmlcheck.Attr(n, "href")
		return nil
	}))
	lead.get(scale).want(http.StatusOK)
	lead.post(scale, url.Values{"name": {"Our rail"}, "levels": {"say"}}).want(http.StatusSeeOther)
	if got := trainee.get(draft).form("#draft").Get("help_levels"); got != "point\nshow\nlight touch (touch)" {
		t.Errorf("a change of the hierarchy reached a draft: %q", got)
	}
	lead.post(scale+"/archive", url.Values{"do": {"away"}}).want(http.StatusSeeOther)
	trainee.get(draft).check(htmlcheck.Count("select[name=scale_pick]", 0))
}
