package httpd

import (
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/go-chi/chi/v5/middleware"
)

// TestClientAddress checks that only a trusted proxy can report a client
// address.
func TestClientAddress(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		proxies      []string
		from, header string
		want         string
	}{
		"no proxy":                   {nil, "203.0.113.7:5000", "", "203.0.113.7"},
		"no proxy, forged":           {nil, "203.0.113.7:5000", "198.51.100.1", "203.0.113.7"},
		"behind a proxy":             {[]string{"127.0.0.1/32"}, "127.0.0.1:5000", "203.0.113.7", "203.0.113.7"},
		"behind a proxy, forged":     {[]string{"127.0.0.1/32"}, "127.0.0.1:5000", "198.51.100.1, 203.0.113.7", "203.0.113.7"},
		"past the proxy, forged":     {[]string{"127.0.0.1/32"}, "203.0.113.7:5000", "198.51.100.1", "203.0.113.7"},
		"the proxy's machine itself": {[]string{"127.0.0.1/32"}, "127.0.0.1:5000", "", "127.0.0.1"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var got string
			h := middleware.ClientIPFromRemoteAddr(clientBehind(tc.proxies)(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
				got = clientAddress(r)
			})))
			r := httptest.NewRequest(http.MethodGet, "/", nil)
			r.RemoteAddr = tc.from
			if tc.header != "" {
				r.Header.Set("X-Forwarded-For", tc.header)
			}
			h.ServeHTTP(httptest.NewRecorder(), r)
			if got != tc.want {
				t.Errorf("address %q, want %q", got, tc.want)
			}
		})
	}
}
