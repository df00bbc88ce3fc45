package httpd

import "net/http"

// healthz answers as long as the process lives.
func (s *Server) healthz(w http.ResponseWriter, _ *http.Request) {
	_, _ = w.Write([]byte("alive\n"))
}

// readyz answers 200 if the database answers and has the required schema
// version.
func (s *Server) readyz(w http.ResponseWriter, r *http.Request) {
	if err := s.app.Ready(r.Context(), s.schema); err != nil {
		s.log.WarnContext(r.Context(), "not ready", "error", err)
		http.Error(w, "not ready", http.StatusServiceUnavailable)
		return
	}
	_, _ = w.Write([]byte("ready\n"))
}
