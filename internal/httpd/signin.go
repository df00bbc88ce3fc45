package httpd

import (
	"errors"
	"math"
	"net/http"
	"strconv"

	"github.com/go-chi/chi/v5/middleware"

	"newel/internal/account"
	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/view"
)

// signInRoutes lists the routes for signing in and out.
func (s *Server) signInRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: href.Home, Public: true, Handle: s.start},
		{Method: http.MethodGet, Pattern: href.SignIn, Public: true, Handle: s.signInPage},
		{Method: http.MethodPost, Pattern: href.SignIn, Public: true, Guess: true, Handle: s.postSignIn},
		{Method: http.MethodPost, Pattern: href.SignOut, Public: true, Handle: s.postSignOut},
		{Method: http.MethodGet, Pattern: string(href.Setup), Public: true, Guess: true, Handle: form(s.showSetup)},
		{Method: http.MethodPost, Pattern: string(href.Setup), Public: true, Guess: true, Handle: s.postSetup},
		{Method: http.MethodGet, Pattern: string(href.Join), Public: true, Guess: true, Handle: s.joinPage},
		{Method: http.MethodPost, Pattern: string(href.Join), Public: true, Guess: true, Handle: s.postJoin},
		{Method: http.MethodGet, Pattern: href.Password, Needs: newel.KeepSignIn, Handle: s.passwordPage},
		{Method: http.MethodPost, Pattern: href.Password, Needs: newel.KeepSignIn, Guess: true, Handle: s.postPassword},
	}
}

// start redirects to the actor's start page.
func (s *Server) start(w http.ResponseWriter, r *http.Request) error {
	actor, ok := actorOf(r)
	if !ok {
		return see(w, r, href.SignIn)
	}
	return see(w, r, startPage(actor))
}

func (s *Server) signInPage(w http.ResponseWriter, r *http.Request) error {
	if _, ok := actorOf(r); ok {
		return see(w, r, safeReturn(r.URL.Query().Get("next")))
	}
	return s.showSignIn(w, r, http.StatusOK, r.URL.Query().Get("next"), sent{})
}

func (s *Server) showSignIn(w http.ResponseWriter, r *http.Request, status int, next string, f sent) error {
	body := view.SignIn(view.SignInPage{Form: s.formState(r, href.SignIn, f), Next: safeReturn(next)})
	return s.page(w, r, status, page{Title: s.printer(r).Text("signin.title"), Kind: plainLayout}, body)
}

// postSignIn gives the same answer for an unknown name, a wrong password and a
// deactivated account.
func (s *Server) postSignIn(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	who, err := s.app.SignInWith(r.Context(), f.Get("email"), f.Get("password"), clientAddress(r))
	t, wait := s.printer(r), (*app.TooManyTries)(nil)
	wrongly := func(text string) sent { return sent{Values: f.Values, problems: map[string]string{"form": text}} }
	switch {
	case errors.As(err, &wait):
		return s.showSignIn(w, r, http.StatusTooManyRequests, f.Get("next"), wrongly(waitText(w, t.Text, wait)))
	case errors.Is(err, newel.ErrUnauthenticated):
		return s.showSignIn(w, r, http.StatusUnprocessableEntity, f.Get("next"), wrongly(t.Text("signin.wrong")))
	case err != nil:
		return err
	}
	if err := s.signIn(r, who); err != nil {
		return err
	}
	return see(w, r, safeReturn(f.Get("next")))
}

// waitText returns how long to wait, and sets Retry-After for programs.
func waitText(w http.ResponseWriter, text func(string, ...any) string, e *app.TooManyTries) string {
	seconds := int(math.Ceil(e.Wait.Seconds()))
	w.Header().Set("Retry-After", strconv.Itoa(seconds))
	return text("signin.wait", "n", seconds)
}

func clientAddress(r *http.Request) string { return middleware.GetClientIP(r.Context()) }

// postSignOut ends a password sign-in. A linked browser stays linked: it has
// its own page for leaving, which warns first.
func (s *Server) postSignOut(w http.ResponseWriter, r *http.Request) error {
	if actor, ok := actorOf(r); ok && !actor.Device.IsZero() {
		return see(w, r, href.Leave)
	}
	if err := s.signOut(r); err != nil {
		return err
	}
	return see(w, r, href.SignIn)
}

func (s *Server) passwordPage(w http.ResponseWriter, r *http.Request) error {
	return s.showPassword(w, r, http.StatusOK, nil)
}

func (s *Server) showPassword(w http.ResponseWriter, r *http.Request, status int, problems map[string]string) error {
	name, err := s.app.SignInName(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	body := view.Password(view.PasswordPage{Form: s.formState(r, href.Password, sent{problems: problems}), SignInName: name, Least: account.MinPassword})
	return s.page(w, r, status, page{Title: s.printer(r).Text("password.title")}, body)
}

func (s *Server) postPassword(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	in := app.PasswordChange{Current: f.Get("current"), New: f.Get("password"), Again: f.Get("again")}
	who, err := s.app.ChangePassword(r.Context(), mustActor(r), in, clientAddress(r))
	if wait := (*app.TooManyTries)(nil); errors.As(err, &wait) {
		return s.showPassword(w, r, http.StatusTooManyRequests, map[string]string{"form": waitText(w, s.printer(r).Text, wait)})
	}
	if problems, ok := problemTexts(s.printer(r), err); ok {
		return s.showPassword(w, r, http.StatusUnprocessableEntity, problems)
	}
	if err != nil {
		return err
	}
	if err := s.signIn(r, who); err != nil {
		return err
	}
	return see(w, r, href.Home)
}
