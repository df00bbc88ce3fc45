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

// newEachTime matches what differs between two renderings of a page: its form
// tokens.
var newEachTime = regexp.MustCompile(`name="form_token" value="[^"]*"`)

// asked returns the answer to a browser that accepts gzip, and its raw body.
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

// unpacked returns the text and the padding of a compressed body.
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

// TestPagesAreCompressed checks that pages, error pages and phone data are
// compressed for browsers that accept gzip, and otherwise unchanged.
func TestPagesAreCompressed(t *testing.T) {
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
				t.Error("the text differs from the uncompressed one")
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

// TestCrossSiteRequestsAreNotCompressed checks that another site cannot learn from
// an answer's length what it shares with chosen text.
func TestCrossSiteRequestsAreNotCompressed(t *testing.T) {
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

// TestCompressedLengthVaries checks that the length of a page with a form
// varies between answers by more than its content does.
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
	// With lengths drawn uniformly from 1 to 256, fewer than 8 different ones
	// in 32 draws, or all within 64 bytes, occur once in 10^17 runs.
	if len(paddings) < 8 {
		t.Errorf("%d lengths of padding in %d answers", len(paddings), answers)
	}
	if most-least < jitter/4 {
		t.Errorf("lengths from %d to %d bytes", least, most)
	}
}

// TestStreamsAreNotBuffered checks that the first event arrives uncompressed on
// an open, silent stream although the browser accepts gzip.
func TestStreamsAreNotBuffered(t *testing.T) {
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
