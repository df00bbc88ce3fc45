package httpd

import (
	"net/http"
	"net/url"
	"time"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

// staffRoutes lists the pages about the clinic's staff.
func (s *Server) staffRoutes() []Route {
	may := newel.ManageAccounts
	return []Route{
		{Method: http.MethodGet, Pattern: href.People, Needs: may, Handle: s.staffPage},
		{Method: http.MethodGet, Pattern: href.NewPerson, Needs: may, Handle: form(s.showNewStaff)},
		{Method: http.MethodPost, Pattern: href.NewPerson, Needs: may, Handle: s.postNewStaff},
		{Method: http.MethodGet, Pattern: string(href.StaffMember), Needs: may, Handle: formAt("account", s.showStaffMember)},
		{Method: http.MethodPost, Pattern: string(href.StaffMember), Needs: may, Handle: postAt(s, "account", s.postStaffMember, s.showStaffMember)},
		{Method: http.MethodPost, Pattern: string(href.StaffLink), Needs: may, Handle: at("account", s.postSetupLink)},
		{Method: http.MethodPost, Pattern: string(href.StaffLinkEnd), Needs: may, Handle: postAt(s, "account", s.revokeSetupLink, nil)},
		{Method: http.MethodPost, Pattern: string(href.StaffSwitchOff), Needs: may, Handle: postAt(s, "account", s.switchStaff(false), s.showStaffMember)},
		{Method: http.MethodPost, Pattern: string(href.StaffSwitchOn), Needs: may, Handle: postAt(s, "account", s.switchStaff(true), s.showStaffMember)},
		{Method: http.MethodGet, Pattern: href.Clinic, Needs: newel.ManageClinic, Handle: s.clinicPage},
		{Method: http.MethodPost, Pattern: href.Clinic, Needs: newel.ManageClinic, Handle: s.post(s.postClinic, s.showClinic)},
	}
}

func (s *Server) staffPage(w http.ResponseWriter, r *http.Request) error {
	clinic, staff, err := s.app.Staff(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	t := s.printer(r)
	p := say.StaffPage(t, clinic, staff)
	return s.page(w, r, http.StatusOK, page{Title: t.Text("people.title"), Section: "clinic"}, view.StaffList(p))
}

func (s *Server) showNewStaff(w http.ResponseWriter, r *http.Request, f sent) error {
	t := s.printer(r)
	p := view.StaffFormPage{Form: s.formState(r, href.NewPerson, f), Title: t.Text("people.add"), Button: t.Text("people.add_button")}
	return s.page(w, r, f.status(), page{Title: p.Title, Section: "clinic"}, view.NewStaff(p))
}

func staffInput(values url.Values) app.StaffInput {
	return app.StaffInput{Name: values.Get("name"), Email: values.Get("email"), Capacities: values["capacities"]}
}

func (s *Server) postNewStaff(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	var to, link string
	if err == nil {
		to, link, err = s.app.AddStaff(r.Context(), mustActor(r), f.token, staffInput(f.Values))
	}
	if err == nil && link != "" {
		return s.showSetupLink(w, r, f.Get("name"), to, link)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		f.problems = problems
		return s.showNewStaff(w, r, f)
	})
}

// showSetupLink shows the link at once without a redirect: the link is never
// stored, so only this page can show it.
func (s *Server) showSetupLink(w http.ResponseWriter, r *http.Request, name, back, link string) error {
	t := s.printer(r)
	p := view.LinkPage{
		T: t, Title: t.Text("link.setup_title", "name", name), Lead: t.Text("link.setup_lead", "n", newel.SetupLinkDays),
		Link: s.base.JoinPath(link).String(), Caution: t.Text("link.setup_caution", "name", name),
		Back: view.Link{Label: t.Text("link.back"), Href: back},
	}
	return s.page(w, r, http.StatusOK, page{Title: p.Title, Section: "clinic"}, view.ShownLink(p))
}

func (s *Server) showStaffMember(w http.ResponseWriter, r *http.Request, id newel.AccountID, f sent) error {
	m, err := s.app.StaffMember(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if f.Values == nil {
		f.Values = url.Values{"name": {m.Name}, "email": {m.SignInName}}
		for _, c := range m.Capacities {
			f.Add("capacities", string(c))
		}
	}
	t := s.printer(r)
	p := view.StaffMemberPage{
		StaffFormPage: view.StaffFormPage{Form: s.formState(r, href.StaffMember.To(id), f), Title: m.Name, Button: t.Text("form.save")},
		Name:          m.Name, State: say.StaffState(t, m), Active: m.Active, HasLink: m.LinkID != nil, ID: id,
	}
	if m.LinkEnds != nil {
		p.LinkEnd = t.Day(newel.DayOf(*m.LinkEnds, time.UTC))
	}
	return s.page(w, r, f.status(), page{Title: m.Name, Section: "clinic"}, view.StaffMember(p))
}

func (s *Server) postStaffMember(r *http.Request, id newel.AccountID, f sent) (string, error) {
	return s.app.ChangeStaff(r.Context(), mustActor(r), f.token, id, staffInput(f.Values))
}

func (s *Server) postSetupLink(w http.ResponseWriter, r *http.Request, id newel.AccountID) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	to, link, err := s.app.MakeSetupLink(r.Context(), mustActor(r), f.token, id)
	if err != nil || link == "" {
		return s.answer(w, r, to, err, func(problems map[string]string) error {
			return s.showStaffMember(w, r, id, sent{problems: problems})
		})
	}
	m, err := s.app.StaffMember(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	return s.showSetupLink(w, r, m.Name, to, link)
}

func (s *Server) revokeSetupLink(r *http.Request, id newel.AccountID, f sent) (string, error) {
	return s.app.RevokeSetupLink(r.Context(), mustActor(r), f.token, id)
}

func (s *Server) switchStaff(active bool) func(*http.Request, newel.AccountID, sent) (string, error) {
	return func(r *http.Request, id newel.AccountID, f sent) (string, error) {
		return s.app.SetStaffActive(r.Context(), mustActor(r), f.token, id, active)
	}
}

func (s *Server) clinicPage(w http.ResponseWriter, r *http.Request) error {
	clinic, err := s.app.Clinic(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	return s.showClinic(w, r, sent{Values: url.Values{"clinic": {clinic.Name}, "time_zone": {clinic.TimeZone}}})
}

func (s *Server) showClinic(w http.ResponseWriter, r *http.Request, f sent) error {
	body := view.ClinicForm(view.ClinicFormPage{Form: s.formState(r, href.Clinic, f)})
	return s.page(w, r, f.status(), page{Title: s.printer(r).Text("clinic.title"), Section: "clinic"}, body)
}

func (s *Server) postClinic(r *http.Request, f sent) (string, error) {
	return s.app.ChangeClinic(r.Context(), mustActor(r), f.token, app.ClinicInput{Clinic: f.Get("clinic"), TimeZone: f.Get("time_zone")})
}
