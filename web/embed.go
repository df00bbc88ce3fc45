// Package web holds what the browser loads: the assets bundled into dist by "make build", found by their plain
// names, and the handler that serves them.
//
// The bundles are not in the repository. A bare checkout compiles all the same, since dist always holds a
// placeholder; [Load] then reports [ErrNoAssets].
package web

import (
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strconv"
	"strings"
)

//go:embed all:dist
var dist embed.FS

// ErrNoAssets means that dist holds only its placeholder.
var ErrNoAssets = errors.New("Assets are missing: run make build") //nolint:staticcheck // shown to people as it is

// Prefix is the path under which [Assets.Handler] expects to be mounted.
const Prefix = "/assets/"

// ManifestName is the file in dist that maps plain names to hashed ones.
const ManifestName = "manifest.json"

// Assets are the built files of one build.
type Assets struct {
	files fs.FS
	names map[string]string // "staff.css" to "staff-AB12CD34.css"
	built map[string]bool   // the values of names: what may be served
}

// Load reads the assets built into this binary. It returns [ErrNoAssets] when there are none.
func Load() (*Assets, error) {
	sub, err := fs.Sub(dist, "dist")
	if err != nil {
		return nil, fmt.Errorf("web: open dist: %w", err)
	}
	return LoadFrom(sub)
}

// LoadFrom reads assets from another folder laid out like dist.
func LoadFrom(files fs.FS) (*Assets, error) {
	raw, err := fs.ReadFile(files, ManifestName)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNoAssets
	}
	if err != nil {
		return nil, fmt.Errorf("web: read the list of assets: %w", err)
	}
	a := &Assets{files: files, built: map[string]bool{}}
	if err := json.Unmarshal(raw, &a.names); err != nil {
		return nil, fmt.Errorf("web: the list of assets is damaged, run make build again: %w", err)
	}
	for _, hashed := range a.names {
		a.built[hashed] = true
	}
	return a, nil
}

// Asset returns the path from which a browser loads the asset with this plain name ("staff.css"). An unknown name
// is a fault of the program and not of a request: it yields a path that answers 404, which the tests of every page
// notice.
func (a *Assets) Asset(name string) string {
	if hashed, ok := a.names[name]; ok {
		return Prefix + hashed
	}
	return Prefix + "missing/" + name
}

// Names returns every asset's plain name with its path.
func (a *Assets) Names() map[string]string {
	paths := make(map[string]string, len(a.names))
	for name, hashed := range a.names {
		paths[name] = Prefix + hashed
	}
	return paths
}

// Files are the built files themselves, laid out like dist.
func (a *Assets) Files() fs.FS { return a.files }

// rootFiles keep their plain names: browsers look for a changed worker under an unchanged address.
var rootFiles = map[string]bool{"sw.js": true, "sw-off.js": true, "manifest.webmanifest": true}

// Root returns a file that keeps its plain name and stands at the root of the site.
func (a *Assets) Root(name string) (body []byte, ok bool) {
	if !rootFiles[name] {
		return nil, false
	}
	body, err := fs.ReadFile(a.files, name)
	return body, err == nil
}

// Handler serves the assets under [Prefix]. The hash is part of a name, so what is under a name never changes and
// may be kept for good.
func (a *Assets) Handler() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			w.Header().Set("Allow", "GET, HEAD")
			http.Error(w, "Only GET and HEAD.", http.StatusMethodNotAllowed)
			return
		}
		name := strings.TrimPrefix(r.URL.Path, Prefix)
		if !a.built[name] {
			http.NotFound(w, r)
			return
		}
		a.serve(w, r, name)
	})
}

func (a *Assets) serve(w http.ResponseWriter, r *http.Request, name string) {
	encoding, body, err := a.best(name, r.Header.Get("Accept-Encoding"))
	if err != nil {
		http.Error(w, "The file could not be read.", http.StatusInternalServerError)
		return
	}
	h := w.Header()
	h.Set("Content-Type", contentType(name))
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Vary", "Accept-Encoding")
	h.Set("Content-Length", strconv.Itoa(len(body)))
	if encoding != "" {
		h.Set("Content-Encoding", encoding)
	}
	if r.Method == http.MethodHead {
		return
	}
	_, _ = w.Write(body) // the browser left; there is nobody to tell
}

// best returns the smallest form of a file that the browser says it takes.
func (a *Assets) best(name, accept string) (encoding string, body []byte, err error) {
	for _, e := range []struct{ name, ext string }{{"br", ".br"}, {"gzip", ".gz"}} {
		if !accepts(accept, e.name) {
			continue
		}
		body, err = fs.ReadFile(a.files, name+e.ext)
		if err == nil {
			return e.name, body, nil
		}
	}
	body, err = fs.ReadFile(a.files, name)
	return "", body, err
}

// accepts reads an Accept-Encoding header (RFC 9110, 12.5.3) for one coding: named, or covered by *, and not with
// a weight of nought.
func accepts(header, coding string) bool {
	wild := false
	for part := range strings.SplitSeq(header, ",") {
		name, params, _ := strings.Cut(part, ";")
		name = strings.TrimSpace(name)
		taken := weight(params) > 0
		if strings.EqualFold(name, coding) {
			return taken
		}
		if name == "*" {
			wild = taken
		}
	}
	return wild
}

func weight(params string) float64 {
	key, value, found := strings.Cut(strings.TrimSpace(params), "=")
	if !found || !strings.EqualFold(strings.TrimSpace(key), "q") {
		return 1
	}
	q, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
	if err != nil {
		return 0
	}
	return q
}

// contentType does not ask the system's tables, which differ from machine to machine, for what we build ourselves.
func contentType(name string) string {
	switch ext := path.Ext(name); ext {
	case ".js":
		return "text/javascript; charset=utf-8"
	case ".css":
		return "text/css; charset=utf-8"
	case ".svg":
		return "image/svg+xml"
	case ".png":
		return "image/png"
	case ".webmanifest":
		return "application/manifest+json"
	default:
		if t := mime.TypeByExtension(ext); t != "" {
			return t
		}
		return "application/octet-stream"
	}
}
