package web

import (
	"errors"
	"net/http"
	"net/http/httptest"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

func built(t *testing.T) *Assets {
	t.Helper()
	a, err := LoadFrom(fstest.MapFS{
		ManifestName:        {Data: []byte(`{"staff.css":"staff-AAAA.css","staff.js":"staff-BBBB.js"}`)},
		"staff-AAAA.css":    {Data: []byte("plain")},
		"staff-AAAA.css.br": {Data: []byte("brotli")},
		"staff-AAAA.css.gz": {Data: []byte("gzip")},
		"staff-BBBB.js":     {Data: []byte("script")},
	})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestPlaceholderAlone(t *testing.T) {
	t.Parallel()
	_, err := LoadFrom(fstest.MapFS{".keep": {}})
	if !errors.Is(err, ErrNoAssets) {
		t.Fatalf("got %v, want ErrNoAssets", err)
	}
}

func TestDamagedManifest(t *testing.T) {
	t.Parallel()
	_, err := LoadFrom(fstest.MapFS{ManifestName: {Data: []byte("{")}})
	if err == nil || errors.Is(err, ErrNoAssets) {
		t.Fatalf("got %v, want an error about the list", err)
	}
}

func TestAssetPaths(t *testing.T) {
	t.Parallel()
	a := built(t)
	if got := a.Asset("staff.css"); got != "/assets/staff-AAAA.css" {
		t.Errorf("staff.css: got %s", got)
	}
	if got := a.Asset("nothing.css"); got != "/assets/missing/nothing.css" {
		t.Errorf("nothing.css: got %s", got)
	}
	want := map[string]string{"staff.css": "/assets/staff-AAAA.css", "staff.js": "/assets/staff-BBBB.js"}
	if diff := cmp.Diff(want, a.Names()); diff != "" {
		t.Errorf("names (-want +got):\n%s", diff)
	}
}

func TestHandlerChoosesTheEncoding(t *testing.T) {
	t.Parallel()
	a := built(t)
	for _, c := range []struct {
		name, path, accept, encoding, body string
	}{
		{"brotli first", "/assets/staff-AAAA.css", "gzip, deflate, br", "br", "brotli"},
		{"gzip when only that", "/assets/staff-AAAA.css", "gzip", "gzip", "gzip"},
		{"plain when nothing is asked", "/assets/staff-AAAA.css", "", "", "plain"},
		{"brotli refused by weight", "/assets/staff-AAAA.css", "br;q=0, gzip;q=0.5", "gzip", "gzip"},
		{"anything", "/assets/staff-AAAA.css", "*", "br", "brotli"},
		{"refused by star", "/assets/staff-AAAA.css", "identity, *;q=0", "", "plain"},
		{"no compressed form", "/assets/staff-BBBB.js", "br", "", "script"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := httptest.NewRequest(http.MethodGet, c.path, nil)
			r.Header.Set("Accept-Encoding", c.accept)
			w := httptest.NewRecorder()
			a.Handler().ServeHTTP(w, r)
			if w.Code != http.StatusOK || w.Body.String() != c.body {
				t.Fatalf("got %d %q, want 200 %q", w.Code, w.Body, c.body)
			}
			if got := w.Header().Get("Content-Encoding"); got != c.encoding {
				t.Errorf("Content-Encoding: got %q, want %q", got, c.encoding)
			}
			if got := w.Header().Get("Vary"); got != "Accept-Encoding" {
				t.Errorf("Vary: got %q", got)
			}
			if got := w.Header().Get("Cache-Control"); got != "public, max-age=31536000, immutable" {
				t.Errorf("Cache-Control: got %q", got)
			}
		})
	}
}

func TestHandlerServesOnlyWhatWasBuilt(t *testing.T) {
	t.Parallel()
	a := built(t)
	for _, p := range []string{"/assets/", "/assets/manifest.json", "/assets/staff-AAAA.css.br", "/assets/../embed.go", "/assets/missing/x.css"} {
		w := httptest.NewRecorder()
		a.Handler().ServeHTTP(w, httptest.NewRequest(http.MethodGet, p, nil))
		if w.Code != http.StatusNotFound {
			t.Errorf("%s: got %d, want 404", p, w.Code)
		}
	}
	w := httptest.NewRecorder()
	a.Handler().ServeHTTP(w, httptest.NewRequest(http.MethodPost, "/assets/staff-AAAA.css", nil))
	if w.Code != http.StatusMethodNotAllowed {
		t.Errorf("POST: got %d, want 405", w.Code)
	}
}
