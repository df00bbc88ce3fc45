package httpd

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
)

// TestCookieAttributes sets each cookie on a server reached directly
// over http, and on one behind a proxy that ends TLS, where no request has its
// own TLS connection.
func TestCookieAttributes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		base   string
		secure bool
		prefix string
	}{
		{"http://127.0.0.1:8080", false, "newel_"},
		{"https://clinic.example", true, "__Host-newel_"},
	} {
		t.Run(c.base, func(t *testing.T) {
			t.Parallel()
			base, err := url.Parse(c.base)
			if err != nil {
				t.Fatal(err)
			}
			s := &Server{base: base, sessions: newSessions(nil, base)}
			w, r := httptest.NewRecorder(), httptest.NewRequest(http.MethodGet, "/", nil)
			s.bindDevice(w, "token")
			s.unbindDevice(w)
			s.setCookie(w, othersCookie, "one.two", 60)
			s.hideHint(w, r, "k2345678")
			set := w.Result().Cookies()
			if len(set) != 4 {
				t.Fatalf("%d cookies, want 4", len(set))
			}
			for _, got := range set {
				if got.Secure != c.secure || !got.HttpOnly || got.SameSite != http.SameSiteLaxMode || got.Path != "/" || got.Domain != "" || !strings.HasPrefix(got.Name, c.prefix) {
					t.Errorf("%s: got %+v", got.Name, got)
				}
			}
			own := s.sessions.Cookie
			if own.Secure != c.secure || !own.HttpOnly || own.SameSite != http.SameSiteLaxMode || own.Path != "/" || own.Domain != "" || own.Persist || own.Name != c.prefix+signInCookie {
				t.Errorf("the sign-in library's: got %+v", own)
			}
		})
	}
}

func TestHiddenHintsAreReadFromTheCookie(t *testing.T) {
	t.Parallel()
	base := &url.URL{Scheme: "https", Host: "clinic.example"}
	s := &Server{base: base}
	r := httptest.NewRequest(http.MethodGet, "/", nil)
	for _, key := range []string{"k2345678", "k2345678", "m2345678", "Not a key"} {
		w := httptest.NewRecorder()
		s.hideHint(w, r, key)
		for _, c := range w.Result().Cookies() {
			r = httptest.NewRequest(http.MethodGet, "/", nil)
			r.AddCookie(c)
		}
	}
	if got := strings.Join(s.hiddenHints(r), " "); got != "k2345678 m2345678" {
		t.Errorf("got %q, want the two keys once each", got)
	}
}
