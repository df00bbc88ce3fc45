package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/view"
)

func (s *Server) postNewPerson(r *http.Request, id newel.FamilyID, f sent) (string, error) {
	return s.app.AddPerson(r.Context(), mustActor(r), f.token, id, f.Get("name"))
}

func (s *Server) showPerson(w http.ResponseWriter, r *http.Request, id newel.PersonID, f sent) error {
	person, err := s.app.Person(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if f.Values == nil {
		f.Values = url.Values{"name": {person.Name}}
	}
	t := s.printer(r)
	p := view.PersonFormPage{
		Form: s.formState(r, href.Person.To(id), f),
		Back: view.Link{Label: t.Text("families.back"), Href: href.Family.To(person.FamilyID)},
	}
	return s.page(w, r, f.status(), page{Title: t.Text("families.rename"), Section: "families"}, view.PersonForm(p))
}

func (s *Server) postPerson(r *http.Request, id newel.PersonID, f sent) (string, error) {
	return s.app.RenamePerson(r.Context(), mustActor(r), f.token, id, f.Get("name"))
}

// postInvite creates an invitation and shows it at once without a redirect: the
// link is never stored, so only this page can show it.
func (s *Server) postInvite(w http.ResponseWriter, r *http.Request, id newel.PersonID) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	to, link, person, err := s.app.Invite(r.Context(), mustActor(r), f.token, id)
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

func (s *Server) revokeInvitation(r *http.Request, id newel.InvitationID, f sent) (string, error) {
	return s.app.RevokeInvitation(r.Context(), mustActor(r), f.token, id)
}

func (s *Server) revokeDevice(r *http.Request, id newel.DeviceID, f sent) (string, error) {
	return s.app.RevokeDevice(r.Context(), mustActor(r), f.token, id)
}
