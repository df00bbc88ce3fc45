package httpd

import (
	"crypto/subtle"
	"net/http"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

// Demo is access to a demo clinic: anyone with the key can sign in as anyone in
// it. There is none outside a demo.
type Demo struct {
	Key      string
	Clinic   newel.ClinicID
	Accounts map[string]newel.AccountID // by role, such as "supervisor"
}

func (s *Server) demoRoutes() []Route {
	if s.demo == nil {
		return nil
	}
	return []Route{
		{Method: http.MethodGet, Pattern: string(href.Demo), Public: true, Handle: s.doorPage},
		{Method: http.MethodPost, Pattern: string(href.Demo), Public: true, Handle: s.postDoor},
	}
}

// door returns the account behind a door. A wrong key and an unknown name look
// the same.
func (s *Server) door(r *http.Request) (newel.AccountID, error) {
	id, known := s.demo.Accounts[r.PathValue("who")]
	if subtle.ConstantTimeCompare([]byte(r.PathValue("key")), []byte(s.demo.Key)) != 1 || s.demo.Key == "" || !known {
		return newel.AccountID{}, newel.ErrNotFound
	}
	return id, nil
}

func (s *Server) doorPage(w http.ResponseWriter, r *http.Request) error {
	id, err := s.door(r)
	if err != nil {
		return err
	}
	who, err := s.app.DemoAccount(r.Context(), s.demo.Clinic, id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	body := view.Door(view.DoorPage{
		Form: s.formState(r, r.URL.Path, sent{}), Name: who.Name,
		What: say.CapacityWords(t, newel.Account{Capacities: who.Capacities}),
	})
	return s.page(w, r, http.StatusOK, page{Title: t.Text("demo.page"), Kind: plainLayout}, body)
}

func (s *Server) postDoor(w http.ResponseWriter, r *http.Request) error {
	id, err := s.door(r)
	if err != nil {
		return err
	}
	who, device, err := s.app.Demo(r.Context(), s.demo.Clinic, id, r.UserAgent())
	if err != nil {
		return err
	}
	if device != "" {
		if err := s.signOut(r); err != nil {
			return err
		}
		// As with an invitation, the phone's previous person can switch back to
		// it, even if they have just locked it.
		if err := s.joinPhone(w, r, device); err != nil {
			return err
		}
		return see(w, r, href.Home)
	}
	if err := s.signIn(r, who); err != nil {
		return err
	}
	return see(w, r, href.Home)
}
