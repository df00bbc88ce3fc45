package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/href"
	"newel/internal/live"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) messageRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: string(href.FamilyMessages), Needs: newel.SeeLearner, Handle: formAt("family", s.showFamilyMessages)},
		{Method: http.MethodPost, Pattern: string(href.FamilyMessages), Needs: newel.Decide, Handle: postAt(s, "family", s.writeToFamily, s.showFamilyMessages)},
		{Method: http.MethodPost, Pattern: string(href.FamilyMessagesRead), Needs: newel.Decide, Handle: postAt(s, "family", s.readFamilyMessages, nil)},
		{Method: http.MethodGet, Pattern: href.Messages, Needs: newel.TeachToday, Handle: form(s.showOwnMessages)},
		{Method: http.MethodPost, Pattern: href.Messages, Needs: newel.TeachToday, Handle: s.post(s.writeToClinic, s.showOwnMessages)},
		{Method: http.MethodPost, Pattern: href.MessagesRead, Needs: newel.TeachToday, Handle: s.post(s.readOwnMessages, nil)},
	}
}

// untilOf returns the newest message that a page showed, or zero if there was
// none.
func untilOf(values url.Values) newel.MessageID {
	id, _ := newel.ParseID[newel.MessageID](values.Get("until")) // an invalid id marks nothing as read
	return id
}

func (s *Server) showFamilyMessages(w http.ResponseWriter, r *http.Request, id newel.FamilyID, f sent) error {
	actor, t := mustActor(r), s.printer(r)
	family, list, err := s.app.FamilyMessages(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := say.MessagesPage(t, list, true, say.MessagesAt{Write: href.FamilyMessages.To(id), Read: href.FamilyMessagesRead.To(id)}, f.Values, f.problems)
	m.Up = []view.Link{{Label: t.Text("families.title"), Href: href.Families}, {Label: family.Name, Href: href.Family.To(id)}}
	m.Title = t.Text("messages.with", "family", family.Name)
	if !actor.Can(newel.Decide) {
		m.Form, m.Read = nil, nil
	}
	return s.page(w, r, f.status(), page{Title: m.Title, Section: "families", Notice: f.problems["form"]}, view.Messages(m))
}

func (s *Server) showOwnMessages(w http.ResponseWriter, r *http.Request, f sent) error {
	t := s.printer(r)
	list, err := s.app.OwnMessages(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	m := say.MessagesPage(t, list, false, say.MessagesAt{Write: href.Messages, Read: href.MessagesRead}, f.Values, f.problems)
	m.Title = t.Text("messages.clinic")
	return s.page(w, r, f.status(), page{Title: m.Title, Kind: caregiverLayout, Notice: f.problems["form"]}, view.Messages(m))
}

func (s *Server) writeToFamily(r *http.Request, id newel.FamilyID, f sent) (string, error) {
	return s.app.WriteToFamily(r.Context(), mustActor(r), f.token, id, f.Get("message"), untilOf(f.Values))
}

func (s *Server) writeToClinic(r *http.Request, f sent) (string, error) {
	return s.app.WriteToClinic(r.Context(), mustActor(r), f.token, f.Get("message"), untilOf(f.Values))
}

func (s *Server) readFamilyMessages(r *http.Request, id newel.FamilyID, f sent) (string, error) {
	return s.app.MarkFamilyMessagesRead(r.Context(), mustActor(r), f.token, id, untilOf(f.Values))
}

func (s *Server) readOwnMessages(r *http.Request, f sent) (string, error) {
	return s.app.MarkOwnMessagesRead(r.Context(), mustActor(r), f.token, untilOf(f.Values))
}

func (s *Server) watchFamilyMessages(w http.ResponseWriter, r *http.Request, id newel.FamilyID) error {
	return s.watch(w, r, func(actor newel.Actor) (live.Interest, string, error) {
		i, err := interestOf(actor, newel.SeeLearner)
		if err != nil {
			return i, "", err
		}
		i.Families = []newel.FamilyID{id}
		_, err = s.app.Family(r.Context(), actor, id) // checks that it is in reach
		return i, "", err
	})
}

func (s *Server) watchOwnMessages(w http.ResponseWriter, r *http.Request) error {
	return s.watch(w, r, func(actor newel.Actor) (live.Interest, string, error) {
		i, err := interestOf(actor, newel.TeachToday)
		return i, "", err
	})
}
