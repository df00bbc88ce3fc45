package httpd

import (
	"bufio"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"newel/internal/fixture"
)

// newEachTime matches what differs between two renderings of the same page:
// the tokens of its forms.
var newEachTime = regexp.MustCompile(`name="form_token" value="[^"]*"`)

// asked is one answer to a browser that accepts gzip, and its body as it came.
func (b *browser) asked(path, from string) (*reply, string) {
	b.t.Helper()
	r := httptest.NewRequest(http.MethodGet, path, http.NoBody)
	r.Header.Set("Accept-Encoding", "gzip, deflate, br, zstd")
	if from != "" {
		r.Header.Set("Sec-Fetch-Site", from)
	}
	p := b.send(r)
	return p, p.body
}

// unpacked is the text and the padding of a compressed body.
func unpacked(t testing.TB, body string) (text, padding string) {
	t.Helper()
	z, err := gzip.NewReader(strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	raw, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw), z.Comment
}

// TestPagesComeCompressed: a browser that accepts gzip receives pages, their
// failures and what a phone fetches compressed, and they are the same as
// without.
func TestPagesComeCompressed(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.taught(fixture.WashingHands(), "aaaan")
	supervisor, caregiver := s.as(s.Supervisor), s.as(s.Home.Caregiver)
	for _, c := range []struct {
		who    *browser
		path   string
		status int
	}{
		{supervisor, "/caseload", http.StatusOK},
		{supervisor, "/families", http.StatusOK},
		{supervisor, "/nowhere", http.StatusNotFound},
		{s.anybody(), "/sign-in", http.StatusOK},
		{caregiver, "/today", http.StatusOK},
		{caregiver, "/phone/day", http.StatusOK},
	} {
		t.Run(c.path, func(t *testing.T) {
			plain := c.who.get(c.path).want(c.status)
			if got := plain.header.Get("Content-Encoding"); got != "" {
				t.Errorf("compressed as %q for a browser that did not ask", got)
			}
			packed, body := c.who.asked(c.path, "same-origin")
			packed.want(c.status)
			if got := packed.header.Get("Content-Encoding"); got != "gzip" {
				t.Fatalf("Content-Encoding %q, want gzip", got)
			}
			text, _ := unpacked(t, body)
			if newEachTime.ReplaceAllString(text, "") != newEachTime.ReplaceAllString(plain.body, "") {
				t.Error("another text than without compression")
			}
			if len(body) > len(text)*2/3 {
				t.Errorf("%d bytes compressed to %d", len(text), len(body))
			}
			for _, p := range []*reply{plain, packed} {
				if vary := strings.Join(p.header.Values("Vary"), ", "); !strings.Contains(vary, "Accept-Encoding") {
					t.Errorf("Vary %q lacks Accept-Encoding", vary)
				}
				if got := p.header.Get("Content-Type"); got != plain.header.Get("Content-Type") {
					t.Errorf("Content-Type %q", got)
				}
			}
		})
	}
}

// TestAnotherSitesRequestsStayPlain: another site's page cannot learn from the
// length of an answer what it has in common with text of its own.
func TestAnotherSitesRequestsStayPlain(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	supervisor := s.as(s.Supervisor)
	for from, want := range map[string]string{"cross-site": "", "same-site": "", "same-origin": "gzip", "none": "gzip", "": "gzip"} {
		page, _ := supervisor.asked("/families", from)
		if got := page.want(http.StatusOK).header.Get("Content-Encoding"); got != want {
			t.Errorf("Sec-Fetch-Site %q: Content-Encoding %q, want %q", from, got, want)
		}
	}
}

// TestCompressedLengthVaries: the length of a page with a form varies from
// answer to answer by more than its content does.
func TestCompressedLengthVaries(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	supervisor := s.as(s.Supervisor)
	const answers = 32
	paddings := map[int]bool{}
	least, most := 1<<20, 0
	for range answers {
		_, body := supervisor.asked("/families/new", "same-origin")
		_, padding := unpacked(t, body)
		paddings[len(padding)] = true
		least, most = min(least, len(body)), max(most, len(body))
	}
	// With lengths drawn evenly from 1 to 256, fewer than 8 different ones in
	// 32 draws, or all of them within 64 bytes, come once in 10^17 runs.
	if len(paddings) < 8 {
		t.Errorf("%d lengths of padding in %d answers", len(paddings), answers)
	}
	if most-least < jitter/4 {
		t.Errorf("lengths from %d to %d bytes", least, most)
	}
}

// TestStreamsAreNotHeldBack: the first event arrives, uncompressed, while the
// stream is open and quiet, though the browser accepts gzip.
func TestStreamsAreNotHeldBack(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	server := s.process(t)
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, server.url+"/caseload/live", http.NoBody)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept", eventStream)
	r.Header.Set("Accept-Encoding", "gzip, deflate, br, zstd")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	for name, value := range s.as(s.Supervisor).cookies {
		r.AddCookie(&http.Cookie{Name: name, Value: value})
	}
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if got := res.Header.Get("Content-Encoding"); got != "" {
		t.Errorf("the stream is compressed as %q", got)
	}
	line, err := bufio.NewReader(res.Body).ReadString('\n')
	if err != nil || line != "retry: 1000\n" {
		t.Errorf("first line %q, %v", line, err)
	}
}
