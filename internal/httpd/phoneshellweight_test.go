package httpd

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"testing"
)

// TestShellOnTheWire: the phone's document, which everybody gets alike, comes
// compressed to whoever takes that, and is then the same document. 30 KiB of
// the first view's 150 are its own.
func TestShellOnTheWire(t *testing.T) {
	t.Parallel()
	anybody := newSite(t).anybody()
	ask := func(encoding string) *http.Response {
		r := httptest.NewRequest(http.MethodGet, "/today", http.NoBody)
		r.Header.Set("Accept-Encoding", encoding)
		w := httptest.NewRecorder()
		anybody.handler.ServeHTTP(w, r)
		return w.Result()
	}
	plain, packed := ask("br, gzip;q=0"), ask("gzip, deflate, br")
	want, err := io.ReadAll(plain.Body)
	if err != nil || plain.Header.Get("Content-Encoding") != "" {
		t.Fatalf("uncompressed: %v, %q", err, plain.Header.Get("Content-Encoding"))
	}
	body, err := io.ReadAll(packed.Body)
	if err != nil || packed.Header.Get("Content-Encoding") != "gzip" {
		t.Fatalf("compressed: %v, %q", err, packed.Header.Get("Content-Encoding"))
	}
	if len(body) > 30<<10 {
		t.Errorf("%d bytes, at most %d", len(body), 30<<10)
	}
	z, err := gzip.NewReader(bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	got, err := io.ReadAll(z)
	if err != nil || string(got) != string(want) {
		t.Errorf("another document than without compression: %v", err)
	}
	for _, r := range []*http.Response{plain, packed} {
		for _, by := range []string{"Accept-Encoding", "Accept-Language"} {
			if v := r.Header.Values("Vary"); !slices.Contains(v, by) {
				t.Errorf("Vary: %q lacks %s", v, by)
			}
		}
	}
}
