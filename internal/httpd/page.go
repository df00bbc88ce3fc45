package httpd

import (
	"context"
	"io"
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

// layoutKind is the frame around a page.
type layoutKind int

const (
	staffLayout     layoutKind = iota // header with the sections, wide content
	caregiverLayout                   // one narrow column for a phone
	plainLayout                       // single-purpose pages: sign-in, errors
	joinLayout                        // links a phone, with as little as possible
)

// page holds what the layout around a body shows.
type page struct {
	Title   string // of the window and, if the body has none, of the page
	Section string // the current section: "caseload", "families", "library", "clinic"
	Kind    layoutKind
	Notice  string // a sentence about what was just done
	Seen    string // the displayed state, for a stream to compare; empty to skip that
}

// printer returns a printer for the reader's language.
func (s *Server) printer(r *http.Request) *message.Printer {
	return s.messages.Printer(r.Header.Get("Accept-Language"))
}

// page writes a body inside its layout.
func (s *Server) page(w http.ResponseWriter, r *http.Request, status int, p page, body templ.Component) error {
	return s.render(w, r, status, s.framed(r, p, body))
}

func (s *Server) framed(r *http.Request, p page, body templ.Component) templ.Component {
	layout, frame := view.Staff, s.frame(r, p)
	switch p.Kind {
	case caregiverLayout:
		layout = view.Caregiver
	case plainLayout, joinLayout:
		layout = view.Plain
	}
	return templ.ComponentFunc(func(ctx context.Context, w io.Writer) error {
		return layout(frame).Render(templ.WithChildren(ctx, body), w)
	})
}

func (s *Server) frame(r *http.Request, p page) view.Page {
	t := s.printer(r)
	f := view.Page{Title: p.Title, Lang: t.Language(), Dir: t.Dir(), Section: p.Section, Assets: s.asset, T: t}
	if f.Live = s.liveOf(r); f.Live != "" {
		f.LiveWords = t.Text("live.new")
		if p.Seen != "" {
			f.Live = href.Query(f.Live, "seen", p.Seen)
		}
	}
	if p.Notice != "" {
		f.Notice = &view.Notice{Text: p.Notice}
	}
	f.Outbox, f.Joining = true, p.Kind == joinLayout
	if actor, ok := actorOf(r); ok {
		f.Actor, f.Nav, f.SignOut = actor.Name, say.Navigation(t, actor), href.SignOut
		if actor.Can(newel.KeepSignIn) {
			f.ActorHref = href.Password
		}
		if p.Kind == caregiverLayout {
			f.Account, f.Copy = actor.Account.String(), r.Method == http.MethodGet
		}
	}
	return f
}

// forPhone reports whether the phone's script sent the request. The route says
// so; without a matching route, the method and the path decide.
func (s *Server) forPhone(r *http.Request) bool {
	if phone, matched := s.phones[r.Method+" "+routePattern(r)]; matched {
		return phone
	}
	return r.Method == http.MethodPut || strings.HasPrefix(r.URL.Path, href.Phone)
}

// fail writes the page for an error: what happened and what to do. Programs get
// only the message.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, status int, key string) {
	if s.forPhone(r) {
		failPhone(w, status)
		return
	}
	if status == http.StatusUnauthorized && wantsPage(r) {
		http.Redirect(w, r, toSignIn(r), http.StatusSeeOther)
		return
	}
	t := s.printer(r)
	if !strings.Contains(r.Header.Get("Accept"), "text/html") {
		http.Error(w, t.Text(key), status)
		return
	}
	f := view.Failure{Title: t.Text(key + ".title"), Text: t.Text(key), Links: []view.Link{{Label: t.Text("error.start"), Href: href.Home}}}
	if status == http.StatusInternalServerError {
		f.Number, f.Tell = requestID(r), t.Text("error.number")
	}
	body := s.framed(r, page{Title: f.Title, Kind: plainLayout}, view.FailureText(f))
	if err := s.render(w, r, status, body); err != nil {
		s.log.ErrorContext(r.Context(), "error page failed", "error", err, "request", requestID(r))
		http.Error(w, t.Text(key), status)
	}
}
