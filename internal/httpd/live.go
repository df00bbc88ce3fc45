package httpd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"time"

	"newel/internal/href"
	"newel/internal/live"
	"newel/internal/newel"
)

// watching is the header with which an open page loads itself anew. Like an
// event stream, and unlike a person, it does not keep a sign-in from ending.
const watching = "Newel-Watching"

const eventStream = "text/event-stream"

// How often a stream makes sure that its watcher is still signed in and that
// the line stands, how long one write may take, and how soon the browser comes
// back after losing it.
const (
	beatEvery  = 15 * time.Second
	beatWrite  = 10 * time.Second
	comeBackMS = 1000
)

func (s *Server) liveRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: href.CaseloadLive, Needs: newel.SeeCaseload, Handle: s.watchCaseload},
		{Method: http.MethodGet, Pattern: string(href.PlacementLive), Needs: newel.SeeLearner, Handle: at("placement", s.watchPlacement)},
		{Method: http.MethodGet, Pattern: string(href.ReviewLive), Needs: newel.SeeProgress, Handle: at("review", s.watchReview)},
		{Method: http.MethodGet, Pattern: string(href.FamilyMessagesLive), Needs: newel.SeeLearner, Handle: at("family", s.watchFamilyMessages)},
		{Method: http.MethodGet, Pattern: href.MessagesLive, Needs: newel.TeachToday, Handle: s.watchOwnMessages},
	}
}

// liveOf is where a page hears that what it shows has changed; empty: it does
// not. A form that came back stays as it was typed.
func (s *Server) liveOf(r *http.Request) string {
	if r.Method != http.MethodGet {
		return ""
	}
	for _, route := range s.liveRoutes() {
		if route.Pattern == href.Live(routePattern(r)) {
			return href.Live(r.URL.EscapedPath())
		}
	}
	return ""
}

// loadSignIn is the session library's middleware, but that pages which watch
// do not extend the sign-in by it.
func (s *Server) loadSignIn(next http.Handler) http.Handler {
	extending := s.sessions.LoadAndSave(next)
	return s.adapt(func(w http.ResponseWriter, r *http.Request) error {
		if r.Method != http.MethodGet || r.Header.Get(watching) == "" && r.Header.Get("Accept") != eventStream {
			extending.ServeHTTP(w, r)
			return nil
		}
		ctx, err := s.signInNow(r.Context(), r)
		if err != nil {
			return err
		}
		next.ServeHTTP(w, r.WithContext(ctx))
		return nil
	})
}

// signInNow loads the sign-in that a request names, as it stands now, into a
// context that has none yet.
func (s *Server) signInNow(ctx context.Context, r *http.Request) (context.Context, error) {
	token := ""
	if cookie, err := r.Cookie(s.sessions.Cookie.Name); err == nil {
		token = cookie.Value
	}
	ctx, err := s.sessions.Load(ctx, token)
	if err != nil {
		return nil, fmt.Errorf("load sign-in: %w: %w", newel.ErrBusy, err)
	}
	return ctx, nil
}

func (s *Server) watchCaseload(w http.ResponseWriter, r *http.Request) error {
	return s.watch(w, r, func(actor newel.Actor) (live.Interest, string, error) {
		i, err := interestOf(actor, newel.SeeCaseload)
		return i, "", err
	})
}

func (s *Server) watchPlacement(w http.ResponseWriter, r *http.Request, id newel.PlacementID) error {
	return s.watch(w, r, func(actor newel.Actor) (live.Interest, string, error) {
		i, err := interestOf(actor, newel.SeeLearner)
		if err != nil {
			return i, "", err
		}
		i.Assignment, err = s.app.AssignmentOf(r.Context(), actor, id)
		return i, "", err
	})
}

// interestOf is what the actor may hear of by a permission.
func interestOf(actor newel.Actor, p newel.Permission) (live.Interest, error) {
	if err := actor.Require(p); err != nil {
		return live.Interest{}, err
	}
	scope := actor.Scope(p)
	i := live.Interest{Account: actor.Account, Clinic: scope.Clinic}
	if !scope.WholeClinic {
		i.Families = append([]newel.FamilyID{}, scope.Families...)
	}
	return i, nil
}

// mayWatch says what somebody may hear of, at first and with every beat. The
// text is of what no word comes, such as somebody's going away: when it is
// another one than before, that is a change as well.
type mayWatch func(newel.Actor) (live.Interest, string, error)

// watch sends an event for each change, until the browser goes, the server
// stops, or the person may no longer watch.
func (s *Server) watch(w http.ResponseWriter, r *http.Request, may mayWatch) error {
	interest, before, err := may(mustActor(r))
	if err != nil {
		return err
	}
	watcher, err := s.hub.Watch(interest)
	out := stream{w, http.NewResponseController(w)}
	if errors.Is(err, live.ErrFull) {
		// Said in the stream: why a line was refused, a browser does not tell its page.
		w.Header().Set("Content-Type", eventStream)
		out.send("event: full\ndata: " + s.printer(r).Text("live.full", "n", live.MostPages) + "\n\n")
		return nil
	}
	if err != nil {
		return newel.ErrBusy
	}
	defer watcher.Leave()
	w.Header().Set("Content-Type", eventStream)
	w.Header().Set("X-Accel-Buffering", "no") // proxies that would gather events
	// The whole request may last as long as the page is open; each write not.
	if err := out.control.SetReadDeadline(time.Time{}); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return err
	}
	first := fmt.Sprintf("retry: %d\n\n", comeBackMS)
	if seen := r.URL.Query().Get("seen"); seen != "" && seen != before {
		first += "event: changed\ndata:\n\n" // since the page was made
	}
	if !out.send(first) {
		return nil
	}
	beat := time.NewTicker(s.beat)
	defer beat.Stop()
	for {
		select {
		case <-r.Context().Done():
			return nil
		case _, open := <-watcher.Changed():
			if !open || !out.send("event: changed\ndata:\n\n") {
				return nil
			}
		case <-beat.C:
			now, still := s.mayStillWatch(r, may, before)
			if !still {
				out.send("event: gone\ndata:\n\n")
				return nil
			}
			word := ": still here\n\n"
			if now != before {
				word = "event: changed\ndata:\n\n"
			}
			if before = now; !out.send(word) {
				return nil
			}
		}
	}
}

// mayStillWatch asks again who watches, and what is there now. A database that
// does not answer cuts nobody off; then all is as before.
func (s *Server) mayStillWatch(r *http.Request, may mayWatch, before string) (now string, still bool) {
	fresh, cancel := context.WithTimeout(context.Background(), beatWrite) // the request's own has the sign-in as it was
	defer cancel()
	ctx, err := s.signInNow(fresh, r)
	if err != nil {
		return before, true
	}
	actor, err := s.bySignIn(r.WithContext(ctx))
	if cookie, none := r.Cookie(cookieName(s.base, "device")); errors.Is(err, newel.ErrUnauthenticated) && none == nil {
		actor, _, err = s.app.ActorOfDevice(ctx, cookie.Value)
	}
	if err == nil {
		_, now, err = may(actor)
	}
	for _, no := range []error{newel.ErrUnauthenticated, newel.ErrForbidden, newel.ErrNotFound} {
		if errors.Is(err, no) {
			return "", false
		}
	}
	if err != nil {
		now = before
	}
	return now, true
}

// stream writes events.
type stream struct {
	to      io.Writer
	control *http.ResponseController
}

// send reports whether the text could be sent; the browser may be gone.
func (s stream) send(text string) bool {
	if err := s.control.SetWriteDeadline(time.Now().Add(beatWrite)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return false
	}
	if _, err := io.WriteString(s.to, text); err != nil {
		return false
	}
	return s.control.Flush() == nil
}
