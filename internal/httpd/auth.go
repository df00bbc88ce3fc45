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

// How long a password sign-in lasts: at most signInHours, and at most
// signInIdle after the last page. (OWASP Session Management Cheat Sheet, from
// memory: both an absolute and an idle limit, in hours for office work.)
const (
	signInHours = 12 * time.Hour
	signInIdle  = 2 * time.Hour
)

// deviceDays is how long a browser keeps the cookie that links it. Browsers cap
// cookies at 400 days (RFC 6265bis, 5.5, from memory); it is renewed on each
// day the phone is used.
const deviceDays = 400 * 24 * time.Hour

// Keys of a sign-in's data, which are ids only.
const (
	keyClinic  = "clinic"
	keyAccount = "account"
	keyEpoch   = "epoch"
)

type contextKey int

const actorKey contextKey = iota

// actorOf returns the signed-in actor, if any.
func actorOf(r *http.Request) (newel.Actor, bool) {
	a, ok := r.Context().Value(actorKey).(newel.Actor)
	return a, ok
}

// mustActor returns the signed-in actor, for handlers behind a permission.
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

// authenticate identifies the actor: by a password sign-in, or else by the
// device cookie. Deactivated accounts, revoked browsers and sign-ins older than
// a password change count as signed out. A database failure is an error, not a
// missing sign-in: a phone must not forget its person because of it.
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

// signIn signs the browser in as this account, under a new token.
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

// signOut ends the browser's password sign-in, if any.
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

// wantsPage reports whether a browser is loading a page, rather than a program
// requesting data.
func wantsPage(r *http.Request) bool {
	return r.Method == http.MethodGet && r.Header.Get("HX-Request") == "" && strings.Contains(r.Header.Get("Accept"), "text/html")
}

// toSignIn returns the sign-in page's address with the way back.
func toSignIn(r *http.Request) string {
	if back := r.URL.RequestURI(); back != href.Home && safeReturn(back) == back {
		return href.SignInThen(back)
	}
	return href.SignIn
}

// safeReturn returns the path if it is on this site, and the start page if it
// could lead elsewhere.
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

// startPage returns the start page of an actor.
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
