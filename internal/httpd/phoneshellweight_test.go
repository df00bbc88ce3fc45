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

// TestShellOnTheWire checks that the phone's document, which is the same for
// everyone, is compressed for clients that accept it and otherwise unchanged.
// Its share of the first view's 150 KiB is 30 KiB.
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
		t.Errorf("the document differs from the uncompressed one: %v", err)
	}
	for _, r := range []*http.Response{plain, packed} {
		for _, by := range []string{"Accept-Encoding", "Accept-Language"} {
			if v := r.Header.Values("Vary"); !slices.Contains(v, by) {
				t.Errorf("Vary: %q lacks %s", v, by)
			}
		}
	}
}
