package httpd

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"

	"newel/internal/newel"
	"newel/internal/view"
)

// phoneShell serves the single document of the phone's pages. It is the same
// for everyone, signed in or not, and the phone caches it. Its content comes
// from the phone itself.
func (s *Server) phoneShell(w http.ResponseWriter, r *http.Request) error {
	body, err := s.shell(r)
	if err != nil {
		return err
	}
	writeShell(w, body)
	return nil
}

// offlinePage serves the document in which a phone shows copies of pages. Like
// the shell, it is the same for everyone.
func (s *Server) offlinePage(w http.ResponseWriter, r *http.Request) error {
	body, err := s.offline(r)
	if err != nil {
		return err
	}
	writeShell(w, body)
	return nil
}

func writeShell(w http.ResponseWriter, body []byte) {
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Cache-Control", "no-cache")
	h.Add("Vary", "Accept-Language")
	_, _ = w.Write(body) // the phone may have disconnected; it will ask again
}

func (s *Server) offline(r *http.Request) ([]byte, error) {
	t := s.printer(r)
	var buf bytes.Buffer
	err := view.Offline(view.Page{Lang: t.Language(), Dir: t.Dir(), Assets: s.asset, T: t, Outbox: true}).Render(r.Context(), &buf)
	return buf.Bytes(), err
}

func (s *Server) shell(r *http.Request) ([]byte, error) {
	t := s.printer(r)
	p := view.PhoneShell{Page: view.Page{Lang: t.Language(), Dir: t.Dir(), Assets: s.asset, T: t}, T: t}
	var buf bytes.Buffer
	if err := view.Shell(p).Render(r.Context(), &buf); err != nil {
		return nil, err
	}
	return buf.Bytes(), nil
}

// serviceWorker serves the worker with a hash of the documents that it caches at
// its end: browsers compare workers byte by byte, and so fetch the documents
// again even if only their texts have changed.
func (s *Server) serviceWorker(w http.ResponseWriter, r *http.Request) error {
	if s.noWorker {
		return s.noServiceWorker(w)
	}
	worker, ok := s.root("sw.js")
	if !ok {
		return fmt.Errorf("the service worker is not built: %w", newel.ErrNotFound)
	}
	shell, err := s.shell(r)
	if err != nil {
		return err
	}
	offline, err := s.offline(r)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(append(shell, offline...))
	body := append(bytes.Clone(worker), "\nself.NEWEL_SHELL=\""+hex.EncodeToString(sum[:8])+"\";\n"...)
	writeRoot(w, "text/javascript; charset=utf-8", body)
	return nil
}

// noServiceWorker serves a worker that removes itself and all caches of
// workers. Unsent sessions and their backup copies remain.
func (s *Server) noServiceWorker(w http.ResponseWriter) error {
	body, ok := s.root("sw-off.js")
	if !ok {
		return fmt.Errorf("the worker that removes itself is not built: %w", newel.ErrNotFound)
	}
	writeRoot(w, "text/javascript; charset=utf-8", body)
	return nil
}

func (s *Server) webManifest(w http.ResponseWriter, _ *http.Request) error {
	body, ok := s.root("manifest.webmanifest")
	if !ok {
		return fmt.Errorf("the web app manifest is not built: %w", newel.ErrNotFound)
	}
	writeRoot(w, "application/manifest+json", body)
	return nil
}

func writeRoot(w http.ResponseWriter, kind string, body []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "no-cache")
	w.Header().Add("Vary", "Accept-Language")
	_, _ = w.Write(body) // the browser has disconnected
}
