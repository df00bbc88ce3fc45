package httpd

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
)

// How long a password sign-in lasts: at most signInHours, and no longer than
// signInIdle after the last page. (OWASP Session Management Cheat Sheet, from
// memory: both an absolute and an idle limit, in hours for office work.)
const (
	signInHours = 12 * time.Hour
	signInIdle  = 2 * time.Hour
)

// deviceDays is how long a browser keeps the cookie that binds it. Browsers
// cap cookies at 400 days (RFC 6265bis, 5.5, from memory); it is renewed on
// every day the phone is used.
const deviceDays = 400 * 24 * time.Hour

// Keys of a sign-in. It holds ids only.
const (
	keyClinic  = "clinic"
	keyAccount = "account"
	keyEpoch   = "epoch"
)

type contextKey int

const actorKey contextKey = iota

// actorOf gives who is signed in, if anybody is.
func actorOf(r *http.Request) (newel.Actor, bool) {
	a, ok := r.Context().Value(actorKey).(newel.Actor)
	return a, ok
}

// mustActor gives who is signed in, for handlers behind a permission.
func mustActor(r *http.Request) newel.Actor {
	a, ok := actorOf(r)
	if !ok {
		panic("mustActor on a public route")
	}
	return a
}

func newSessions(store scs.Store, base *url.URL) *scs.SessionManager {
	m := scs.New()
	m.Store = store
	m.Lifetime = signInHours
	m.IdleTimeout = signInIdle
	m.HashTokenInStore = true
	protectSignIns(&m.Cookie, base)
	return m
}

// authenticate finds out who has come: by a password sign-in, else by the
// device cookie. Whoever is switched off, cut off or signed in from before a
// change of password is nobody. A database that does not answer is an error
// and not a stranger: a phone must not forget its person over it.
func (s *Server) authenticate(next http.Handler) http.Handler {
	return s.adapt(func(w http.ResponseWriter, r *http.Request) error {
		actor, err := s.identify(w, r)
		switch {
		case errors.Is(err, newel.ErrUnauthenticated):
			next.ServeHTTP(w, r)
		case err != nil:
			return err
		default:
			next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), actorKey, actor)))
		}
		return nil
	})
}

func (s *Server) identify(w http.ResponseWriter, r *http.Request) (newel.Actor, error) {
	actor, err := s.bySignIn(r)
	if !errors.Is(err, newel.ErrUnauthenticated) {
		return actor, err
	}
	return s.byDevice(w, r)
}

func (s *Server) bySignIn(r *http.Request) (newel.Actor, error) {
	ctx := r.Context()
	account, err := newel.ParseID[newel.AccountID](s.sessions.GetString(ctx, keyAccount))
	if err != nil {
		return newel.Actor{}, newel.ErrUnauthenticated
	}
	clinic, err := newel.ParseID[newel.ClinicID](s.sessions.GetString(ctx, keyClinic))
	if err != nil {
		return newel.Actor{}, newel.ErrUnauthenticated
	}
	return s.app.ActorOfSignIn(ctx, app.SignIn{Clinic: clinic, Account: account, Epoch: s.sessions.GetInt(ctx, keyEpoch)})
}

func (s *Server) byDevice(w http.ResponseWriter, r *http.Request) (newel.Actor, error) {
	cookie, err := r.Cookie(cookieName(s.base, "device"))
	if err != nil {
		return newel.Actor{}, newel.ErrUnauthenticated
	}
	actor, firstToday, err := s.app.ActorOfDevice(r.Context(), cookie.Value)
	if err == nil && firstToday {
		s.bindDevice(w, cookie.Value)
	}
	return actor, err
}

// signIn makes the browser's sign-in this account's, under a new token.
func (s *Server) signIn(r *http.Request, who app.SignIn) error {
	ctx := r.Context()
	if err := s.sessions.RenewToken(ctx); err != nil {
		return err
	}
	s.sessions.Put(ctx, keyClinic, who.Clinic.String())
	s.sessions.Put(ctx, keyAccount, who.Account.String())
	s.sessions.Put(ctx, keyEpoch, who.Epoch)
	return nil
}

// signOut ends the password sign-in of the browser, if it has one.
func (s *Server) signOut(r *http.Request) error {
	if s.sessions.Token(r.Context()) == "" {
		return nil
	}
	return s.sessions.Destroy(r.Context())
}

func (s *Server) bindDevice(w http.ResponseWriter, token string) {
	s.setCookie(w, deviceCookie, token, int(deviceDays.Seconds()))
}

func (s *Server) unbindDevice(w http.ResponseWriter) { s.setCookie(w, deviceCookie, "", -1) }

// wantsPage reports whether a browser is loading a page, as against a
// program asking for data.
func wantsPage(r *http.Request) bool {
	return r.Method == http.MethodGet && r.Header.Get("HX-Request") == "" && strings.Contains(r.Header.Get("Accept"), "text/html")
}

// toSignIn leads to the sign-in page and from there back.
func toSignIn(r *http.Request) string {
	if back := r.URL.RequestURI(); back != href.Home && safeReturn(back) == back {
		return href.SignInThen(back)
	}
	return href.SignIn
}

// safeReturn gives the path if it lies on this site, and the start page if
// it could lead anywhere else.
func safeReturn(path string) string {
	u, err := url.Parse(path)
	switch {
	case err != nil, u.IsAbs(), u.Host != "", u.User != nil, u.Opaque != "":
		return href.Home
	case !strings.HasPrefix(path, "/"), strings.HasPrefix(path, "//"), strings.ContainsAny(path, "\\\x00\r\n\t"):
		return href.Home
	case strings.HasPrefix(u.Path, "//"), strings.HasPrefix(u.Path, href.SignIn), strings.HasPrefix(u.Path, href.SignOut):
		return href.Home
	}
	return path
}

// startPage is where each person begins.
func startPage(a newel.Actor) string {
	switch {
	case a.Can(newel.SeeCaseload):
		return href.Caseload
	case a.Can(newel.TeachToday):
		return href.Today
	case a.Can(newel.ManageAccounts):
		return href.People
	case a.Can(newel.SeeFamilies):
		return href.Families
	}
	return href.SignIn
}
