package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/live"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) messageRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: string(href.FamilyMessages), Needs: newel.SeeLearner, Handle: s.familyMessages},
		{Method: http.MethodPost, Pattern: string(href.FamilyMessages), Needs: newel.Decide, Handle: s.writeToFamily},
		{Method: http.MethodPost, Pattern: string(href.FamilyMessagesRead), Needs: newel.Decide, Handle: s.deed(s.readFamilyMessages)},
		{Method: http.MethodGet, Pattern: href.Messages, Needs: newel.TeachToday, Handle: s.ownMessages},
		{Method: http.MethodPost, Pattern: href.Messages, Needs: newel.TeachToday, Handle: s.writeToClinic},
		{Method: http.MethodPost, Pattern: href.MessagesRead, Needs: newel.TeachToday, Handle: s.deed(s.readOwnMessages)},
	}
}

// untilOf is the newest message that a page showed; none: zero.
func untilOf(values url.Values) newel.MessageID {
	id, _ := newel.ParseID[newel.MessageID](values.Get("until")) // what names none marks none as read
	return id
}

func (s *Server) familyMessages(w http.ResponseWriter, r *http.Request) error {
	return s.showFamilyMessages(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showFamilyMessages(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return err
	}
	actor, t := mustActor(r), s.printer(r)
	f, list, err := s.app.FamilyMessages(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := say.MessagesPage(t, list, true, say.MessagesAt{Write: href.FamilyMessages.To(id), Read: href.FamilyMessagesRead.To(id)}, values, problems)
	m.Up = []view.Link{{Label: t.Text("families.title"), Href: href.Families}, {Label: f.Name, Href: href.Family.To(id)}}
	m.Title = t.Text("messages.with", "family", f.Name)
	if !actor.Can(newel.Decide) {
		m.Form, m.Read = nil, nil
	}
	return s.page(w, r, status, page{Title: m.Title, Section: "families", Notice: problems["form"]}, view.Messages(m))
}

func (s *Server) ownMessages(w http.ResponseWriter, r *http.Request) error {
	return s.showOwnMessages(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showOwnMessages(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	t := s.printer(r)
	list, err := s.app.OwnMessages(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	m := say.MessagesPage(t, list, false, say.MessagesAt{Write: href.Messages, Read: href.MessagesRead}, values, problems)
	m.Title = t.Text("messages.clinic")
	return s.page(w, r, status, page{Title: m.Title, Kind: caregiverLayout, Notice: problems["form"]}, view.Messages(m))
}

func (s *Server) writeToFamily(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.WriteToFamily(r.Context(), mustActor(r), form, id, values.Get("message"), untilOf(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showFamilyMessages(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) writeToClinic(w http.ResponseWriter, r *http.Request) error {
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.WriteToClinic(r.Context(), mustActor(r), form, values.Get("message"), untilOf(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showOwnMessages(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) readFamilyMessages(r *http.Request, values url.Values, form app.Form) (string, error) {
	id, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return "", err
	}
	return s.app.ReadFamilyMessages(r.Context(), mustActor(r), form, id, untilOf(values))
}

func (s *Server) readOwnMessages(r *http.Request, values url.Values, form app.Form) (string, error) {
	return s.app.ReadOwnMessages(r.Context(), mustActor(r), form, untilOf(values))
}

func (s *Server) watchFamilyMessages(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return err
	}
	return s.watch(w, r, func(actor newel.Actor) (live.Interest, string, error) {
		i, err := interestOf(actor, newel.SeeLearner)
		if err != nil {
			return i, "", err
		}
		i.Families = []newel.FamilyID{id}
		_, err = s.app.Family(r.Context(), actor, id) // in reach
		return i, "", err
	})
}

func (s *Server) watchOwnMessages(w http.ResponseWriter, r *http.Request) error {
	return s.watch(w, r, func(actor newel.Actor) (live.Interest, string, error) {
		i, err := interestOf(actor, newel.TeachToday)
		return i, "", err
	})
}
