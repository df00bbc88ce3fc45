package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/view"
)

func (s *Server) postNewPerson(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	var to string
	if err == nil {
		to, err = s.app.AddPerson(r.Context(), mustActor(r), form, id, values.Get("name"))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showFamily(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) personPage(w http.ResponseWriter, r *http.Request) error {
	return s.showPerson(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showPerson(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.PersonID](r, "person")
	if err != nil {
		return err
	}
	person, err := s.app.Person(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if values == nil {
		values = url.Values{"name": {person.Name}}
	}
	t := s.printer(r)
	p := view.PersonFormPage{
		Form: s.formState(r, href.Person.To(id), values, problems),
		Back: view.Link{Label: t.Text("families.back"), Href: href.Family.To(person.FamilyID)},
	}
	return s.page(w, r, status, page{Title: t.Text("families.rename"), Section: "families"}, view.PersonForm(p))
}

func (s *Server) postPerson(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.PersonID](r, "person")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	var to string
	if err == nil {
		to, err = s.app.RenamePerson(r.Context(), mustActor(r), form, id, values.Get("name"))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showPerson(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

// postInvite makes an invitation and answers at once: the link is never
// stored, so this is the only page that can show it.
func (s *Server) postInvite(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.PersonID](r, "person")
	if err != nil {
		return err
	}
	_, form, err := readForm(r)
	if err != nil {
		return err
	}
	to, link, person, err := s.app.Invite(r.Context(), mustActor(r), form, id)
	if err != nil {
		return err
	}
	if link == "" {
		return see(w, r, to)
	}
	t := s.printer(r)
	p := view.LinkPage{
		T: t, Title: t.Text("link.join_title", "name", person.Name), Lead: t.Text("link.join_lead", "n", newel.InvitationDays, "name", person.Name),
		Link: s.base.JoinPath(link).String(), Caution: t.Text("link.join_caution", "name", person.Name),
		Back: view.Link{Label: t.Text("families.back"), Href: to},
	}
	code, err := view.NewQR(p.Link, t.Text("link.qr_name", "name", person.Name))
	if err != nil {
		return err
	}
	p.QR = &code
	return s.page(w, r, http.StatusOK, page{Title: p.Title, Section: "families"}, view.ShownLink(p))
}

func (s *Server) revokeInvitation(r *http.Request, _ url.Values, form app.Form) (string, error) {
	id, err := pathID[newel.InvitationID](r, "invitation")
	if err != nil {
		return "", err
	}
	return s.app.RevokeInvitation(r.Context(), mustActor(r), form, id)
}

func (s *Server) cutDevice(r *http.Request, _ url.Values, form app.Form) (string, error) {
	id, err := pathID[newel.DeviceID](r, "device")
	if err != nil {
		return "", err
	}
	return s.app.CutDevice(r.Context(), mustActor(r), form, id)
}
