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

// watching is the header with which an open page reloads itself. Like an event
// stream, and unlike a person, it does not extend a sign-in.
const watching = "Newel-Watching"

const eventStream = "text/event-stream"

// How often a stream checks that its watcher is still signed in and that the
// connection is alive, how long one write may take, and how soon the browser
// reconnects.
const (
	beatEvery   = 15 * time.Second
	beatWrite   = 10 * time.Second
	reconnectMS = 1000
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

// liveOf returns the address of a page's change notifications, or "" for none.
// A refused form is not updated.
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

// loadSignIn is the session library's middleware, except that pages that only
// watch do not extend the sign-in.
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

// signInNow loads the current sign-in of a request into a context that has none
// yet.
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

// interestOf returns what the actor may be notified of by a permission.
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

// mayWatch returns what a person may be notified of, initially and at every
// beat. The text covers changes without notifications, such as someone leaving:
// a different text counts as a change.
type mayWatch func(newel.Actor) (live.Interest, string, error)

// watch sends an event for each change, until the browser disconnects, the
// server stops, or the person may no longer watch.
func (s *Server) watch(w http.ResponseWriter, r *http.Request, may mayWatch) error {
	interest, before, err := may(mustActor(r))
	if err != nil {
		return err
	}
	watcher, err := s.hub.Watch(interest)
	out := stream{w, http.NewResponseController(w)}
	if errors.Is(err, live.ErrFull) {
		// The stream itself reports a refusal, because browsers do not tell the
		// page why a connection failed.
		w.Header().Set("Content-Type", eventStream)
		out.send("event: full\ndata: " + s.printer(r).Text("live.full", "n", live.MaxPages) + "\n\n")
		return nil
	}
	if err != nil {
		return newel.ErrBusy
	}
	defer watcher.Leave()
	w.Header().Set("Content-Type", eventStream)
	w.Header().Set("X-Accel-Buffering", "no") // tells proxies not to buffer events
	// The request may last as long as the page is open, but each write is
	// limited.
	if err := out.control.SetReadDeadline(time.Time{}); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return err
	}
	first := fmt.Sprintf("retry: %d\n\n", reconnectMS)
	if seen := r.URL.Query().Get("seen"); seen != "" && seen != before {
		first += "event: changed\ndata:\n\n" // something may have changed since the page was rendered
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

// mayStillWatch checks the watcher again and returns the current text. A
// database failure disconnects no one; then nothing counts as changed.
func (s *Server) mayStillWatch(r *http.Request, may mayWatch, before string) (now string, still bool) {
	fresh, cancel := context.WithTimeout(context.Background(), beatWrite) // the request's context has the old sign-in
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

// send reports whether the text could be sent; the browser may have
// disconnected.
func (s stream) send(text string) bool {
	if err := s.control.SetWriteDeadline(time.Now().Add(beatWrite)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return false
	}
	if _, err := io.WriteString(s.to, text); err != nil {
		return false
	}
	return s.control.Flush() == nil
}
