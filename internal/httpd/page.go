package httpd

import (
	"bytes"
	"net/http"

	"github.com/a-h/templ"

	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
)

// layoutKind is the frame around a page.
type layoutKind int

const (
	staffLayout     layoutKind = iota // head with the sections, wide sheet
	caregiverLayout                   // one narrow column for a phone
	plainLayout                       // one thing on the page: sign-in, an error
)

// page is what the frame around a body shows.
type page struct {
	Title   string // of the window and, where the body has none, of the page
	Section string // which of the sections one is in: "caseload", "families", "library", "clinic"
	Kind    layoutKind
	Notice  string // a sentence about what was just done
}

// printer speaks the language of whoever asks.
func (s *Server) printer(r *http.Request) *message.Printer {
	return s.messages.Printer(r.Header.Get("Accept-Language"))
}

// page writes a body inside its frame.
func (s *Server) page(w http.ResponseWriter, r *http.Request, status int, p page, body templ.Component) error {
	return s.render(w, r, status, view.Layout(s.frame(r, p), body))
}

func (s *Server) frame(r *http.Request, p page) view.Frame {
	f := view.Frame{Title: p.Title, Notice: p.Notice, Path: r.URL.Path, T: s.printer(r), Asset: s.asset}
	switch p.Kind {
	case caregiverLayout:
		f.Kind = view.CaregiverFrame
	case plainLayout:
		f.Kind = view.PlainFrame
	default:
		f.Kind = view.StaffFrame
	}
	if actor, ok := actorOf(r); ok {
		f.Who, f.Nav = actor.Name, navigation(s.printer(r), actor, p.Section)
		f.Form = newForm()
	}
	return f
}

// sections are the parts of the staff's site; each shows to whom it serves.
var sections = []struct {
	name, path string
	needs      newel.Permission
}{
	{"caseload", "/caseload", newel.SeeCaseload},
	{"families", "/families", newel.SeeFamilies},
	{"library", "/library", newel.SeeLibrary},
	{"clinic", "/people", newel.ManageAccounts},
}

func navigation(t *message.Printer, actor newel.Actor, current string) []view.NavItem {
	var items []view.NavItem
	for _, section := range sections {
		if actor.Can(section.needs) {
			items = append(items, view.NavItem{Text: t.Text("nav." + section.name), Path: section.path, Current: section.name == current})
		}
	}
	return items
}

// fail writes the page for an error: what happened, in a sentence, and what
// to do. Programs get the bare sentence.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, status int, key string) {
	if status == http.StatusUnauthorized && wantsPage(r) {
		http.Redirect(w, r, toSignIn(r), http.StatusSeeOther)
		return
	}
	t := s.printer(r)
	if r.Method == http.MethodPut {
		http.Error(w, t.Text(key), status)
		return
	}
	body := view.Failure(view.FailurePage{Status: status, Title: t.Text(key + ".title"), Text: t.Text(key), Request: requestID(r), T: t})
	var buf bytes.Buffer
	frame := s.frame(r, page{Title: t.Text(key + ".title"), Kind: plainLayout})
	if err := view.Layout(frame, body).Render(r.Context(), &buf); err != nil {
		s.log.ErrorContext(r.Context(), "error page failed", "error", err, "request", requestID(r))
		http.Error(w, t.Text(key), status)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = buf.WriteTo(w)
}
