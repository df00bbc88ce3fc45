package httpd

import (
	"net/http"

	"newel/internal/href"
	"newel/internal/newel"
)

func (s *Server) caregiverRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: href.Today, Public: true, Handle: s.phoneShell},
		{Method: http.MethodGet, Pattern: string(href.Teach), Public: true, Handle: s.phoneShell},
		{Method: http.MethodGet, Pattern: string(href.Record), Public: true, Handle: s.phoneShell},
		{Method: http.MethodGet, Pattern: href.Leave, Public: true, Handle: s.phoneShell},
		{Method: http.MethodGet, Pattern: href.Offline, Public: true, Handle: s.offlinePage},
		{Method: http.MethodGet, Pattern: href.ServiceWorker, Public: true, Handle: s.serviceWorker},
		{Method: http.MethodGet, Pattern: href.Manifest, Public: true, Handle: s.webManifest},
		{Method: http.MethodGet, Pattern: string(href.Kit), Needs: newel.RecordSession, Handle: at("placement", s.kit)},
	}
}

// kitHash is the response header with the SHA-256 of a kit, which every
// recording made with it names.
const kitHash = "Newel-Kit-Hash"

func (s *Server) kit(w http.ResponseWriter, r *http.Request, id newel.PlacementID) error {
	kit, err := s.app.Kit(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	body, hash, err := kit.Body()
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "private, no-store")
	w.Header().Set(kitHash, hash)
	_, _ = w.Write(body) // the phone may have disconnected; it will ask again
	return nil
}
