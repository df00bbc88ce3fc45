package httpd

import (
	"errors"
	"net/http"
	"net/url"
	"slices"

	"newel/internal/account"
	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/view"
)

// usedLink shows what became of a link that is no longer valid. A link that
// never existed is not found.
func (s *Server) usedLink(w http.ResponseWriter, r *http.Request, key string, link *view.Link) error {
	t := s.printer(r)
	body := view.Used(view.UsedPage{T: t, Title: t.Text(key + ".title"), Text: t.Text(key), Link: link})
	return s.page(w, r, http.StatusGone, page{Title: t.Text(key + ".title"), Kind: plainLayout}, body)
}

func (s *Server) showSetup(w http.ResponseWriter, r *http.Request, f sent) error {
	setup, err := s.app.Setup(r.Context(), r.PathValue("token"))
	if errors.Is(err, newel.ErrGone) {
		return s.setupUsed(w, r)
	}
	if err != nil {
		return err
	}
	if f.Values == nil && !setup.First {
		f.Values = url.Values{"name": {setup.Name}}
	}
	body := view.Setup(view.SetupPage{
		Form: s.formState(r, r.URL.Path, f), First: setup.First, Clinic: setup.Clinic.Name,
		SignInName: setup.SignInName, Least: account.MinPassword,
	})
	return s.page(w, r, f.status(), page{Title: s.printer(r).Text("setup.title"), Kind: plainLayout}, body)
}

func (s *Server) setupUsed(w http.ResponseWriter, r *http.Request) error {
	return s.usedLink(w, r, "setup.used", &view.Link{Label: s.printer(r).Text("signin.title"), Href: href.SignIn})
}

// postSetup uses up a set-up link and signs its person in.
func (s *Server) postSetup(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	who, err := s.app.FinishSetup(r.Context(), r.PathValue("token"), app.SetupInput{
		Clinic: f.Get("clinic"), TimeZone: f.Get("time_zone"), Name: f.Get("name"), Email: f.Get("email"),
		Password: f.Get("password"), Again: f.Get("again"),
	})
	if errors.Is(err, newel.ErrGone) {
		return s.setupUsed(w, r)
	}
	return s.answer(w, r, href.Home, errors.Join(err, s.signInIf(r, err, who)), func(problems map[string]string) error {
		f.problems = problems
		return s.showSetup(w, r, f)
	})
}

func (s *Server) signInIf(r *http.Request, err error, who app.SignIn) error {
	if err != nil {
		return nil
	}
	return s.signIn(r, who)
}

func (s *Server) joinPage(w http.ResponseWriter, r *http.Request) error {
	invitation, err := s.app.Invitation(r.Context(), r.PathValue("token"))
	if errors.Is(err, newel.ErrGone) {
		return s.joinUsed(w, r)
	}
	if err != nil {
		return err
	}
	body := view.Join(view.JoinPage{Form: s.formState(r, r.URL.Path, sent{}), Person: invitation.Person.Name, Clinic: invitation.Clinic})
	return s.page(w, r, http.StatusOK, page{Title: s.printer(r).Text("join.page"), Kind: joinLayout}, body)
}

// joinUsed answers for an invitation that is no longer valid. Families open the
// link in their chat again and again: on the invited person's own phone it leads
// to Today, where a locked phone asks for the PIN. If someone else is using the
// phone, it leads to the page on which people switch. On any other phone a page
// says that the invitation is used up.
func (s *Server) joinUsed(w http.ResponseWriter, r *http.Request) error {
	p, err := s.peopleOfPhone(r)
	if err != nil {
		return err
	}
	invited, err := s.app.InvitedAccount(r.Context(), r.PathValue("token"))
	if err != nil && !errors.Is(err, newel.ErrNotFound) {
		return err
	}
	known := slices.ContainsFunc(p.others, func(k app.KnownPhone) bool { return k.Account == invited })
	switch {
	case p.current != nil && p.current.Account == invited, known && p.current == nil:
		return see(w, r, href.Today)
	case known:
		return see(w, r, href.Today+"#who")
	}
	var link *view.Link
	if _, ok := actorOf(r); ok {
		link = &view.Link{Label: s.printer(r).Text("error.start"), Href: href.Home}
	} else if len(p.others) > 0 { // locked: Today asks for a PIN
		link = &view.Link{Label: s.printer(r).Text("error.start"), Href: href.Today}
	}
	return s.usedLink(w, r, "join.used", link)
}

// postJoin uses up an invitation and links the browser.
func (s *Server) postJoin(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	device, err := s.app.Join(r.Context(), r.PathValue("token"), f.token, r.UserAgent())
	if errors.Is(err, newel.ErrGone) {
		return s.joinUsed(w, r)
	}
	if err != nil {
		return err
	}
	// A supervisor who opens a family's link in their own browser becomes that
	// family's person in it: they are signed out first.
	if err := s.signOut(r); err != nil {
		return err
	}
	if err := s.joinPhone(w, r, device); err != nil {
		return err
	}
	return see(w, r, href.Today)
}
