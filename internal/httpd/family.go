package httpd

import (
	"net/http"
	"net/url"
	"slices"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

// familyRoutes lists the pages about families and their staff.
func (s *Server) familyRoutes() []Route {
	manage, invite := newel.ManageFamilies, newel.InviteCaregiver
	return []Route{
		{Method: http.MethodGet, Pattern: href.Families, Needs: newel.SeeFamilies, Handle: s.familiesPage},
		{Method: http.MethodGet, Pattern: href.NewFamily, Needs: manage, Handle: s.newFamilyPage},
		{Method: http.MethodPost, Pattern: href.NewFamily, Needs: manage, Handle: s.post(s.postNewFamily, s.showNewFamily)},
		{Method: http.MethodGet, Pattern: string(href.Family), Needs: newel.SeeFamilies, Handle: formAt("family", s.showFamily)},
		{Method: http.MethodGet, Pattern: string(href.FamilyEdit), Needs: manage, Handle: formAt("family", s.showEditFamily)},
		{Method: http.MethodPost, Pattern: string(href.FamilyEdit), Needs: manage, Handle: postAt(s, "family", s.postEditFamily, s.showEditFamily)},
		{Method: http.MethodPost, Pattern: string(href.FamilyPeople), Needs: manage, Handle: postAt(s, "family", s.postNewPerson, s.showFamily)},
		{Method: http.MethodPost, Pattern: string(href.FamilyCaseload), Needs: manage, Handle: postAt(s, "family", s.lookAfter, nil)},
		{Method: http.MethodPost, Pattern: string(href.FamilyCaseloadLeave), Needs: manage, Handle: postAt(s, "family", s.stopLookingAfter, nil)},
		{Method: http.MethodGet, Pattern: string(href.FamilyTraining), Needs: newel.SeeLearner, Handle: formAt("family", s.showTraining)},
		{Method: http.MethodPost, Pattern: string(href.FamilyTraining), Needs: newel.TrainCaregiver, Handle: postAt(s, "family", s.postTraining, s.showTraining)},
		{Method: http.MethodGet, Pattern: string(href.Person), Needs: manage, Handle: formAt("person", s.showPerson)},
		{Method: http.MethodPost, Pattern: string(href.Person), Needs: manage, Handle: postAt(s, "person", s.postPerson, s.showPerson)},
		{Method: http.MethodPost, Pattern: string(href.PersonInvite), Needs: invite, Handle: at("person", s.postInvite)},
		{Method: http.MethodPost, Pattern: string(href.InvitationRevoke), Needs: invite, Handle: postAt(s, "invitation", s.revokeInvitation, nil)},
		{Method: http.MethodPost, Pattern: string(href.DeviceRevoke), Needs: invite, Handle: postAt(s, "device", s.revokeDevice, nil)},
	}
}

func (s *Server) familiesPage(w http.ResponseWriter, r *http.Request) error {
	actor := mustActor(r)
	lines, err := s.app.Families(r.Context(), actor)
	if err != nil {
		return err
	}
	p := say.FamiliesPage(s.printer(r), actor, lines)
	return s.page(w, r, http.StatusOK, page{Title: p.T.Text("families.title"), Section: "families"}, view.Families(p))
}

func familyInput(values url.Values) app.FamilyInput {
	return app.FamilyInput{Name: values.Get("name"), TimeZone: values.Get("time_zone"), Language: values.Get("language")}
}

func (s *Server) newFamilyPage(w http.ResponseWriter, r *http.Request) error {
	zone, err := s.app.ClinicZone(r.Context(), mustActor(r))
	if err != nil {
		return err
	}
	return s.showNewFamily(w, r, sent{Values: url.Values{"time_zone": {zone}, "language": {"en"}}})
}

func (s *Server) showNewFamily(w http.ResponseWriter, r *http.Request, f sent) error {
	t := s.printer(r)
	p := view.FamilyFormPage{
		Form: s.formState(r, href.NewFamily, f), Title: t.Text("families.add"), Lead: t.Text("families.add_lead"),
		Back: view.Link{Label: t.Text("families.title"), Href: href.Families}, Button: t.Text("families.add_button"), Languages: s.languages(t),
	}
	return s.page(w, r, f.status(), page{Title: p.Title, Section: "families"}, view.FamilyForm(p))
}

// languages lists the languages of family pages.
func (s *Server) languages(t *message.Printer) []view.Option {
	var options []view.Option
	for _, tag := range s.messages.Languages() {
		options = append(options, view.Option{Value: tag, Label: t.LanguageName(tag)})
	}
	return options
}

func (s *Server) postNewFamily(r *http.Request, f sent) (string, error) {
	return s.app.AddFamily(r.Context(), mustActor(r), f.token, familyInput(f.Values))
}

func (s *Server) showFamily(w http.ResponseWriter, r *http.Request, id newel.FamilyID, f sent) error {
	actor := mustActor(r)
	family, err := s.app.Family(r.Context(), actor, id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	p := say.FamilyPage(t, actor, family, s.formState(r, href.Family.To(id), f))
	return s.page(w, r, f.status(), page{Title: family.Name, Section: "families"}, view.Family(p))
}

func (s *Server) showEditFamily(w http.ResponseWriter, r *http.Request, id newel.FamilyID, f sent) error {
	family, err := s.app.Family(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if f.Values == nil {
		f.Values = url.Values{"name": {family.Name}, "time_zone": {family.TimeZone}, "language": {family.Language}}
	}
	t := s.printer(r)
	languages := s.languages(t)
	if !slices.ContainsFunc(languages, func(o view.Option) bool { return o.Value == family.Language }) {
		languages = append(languages, view.Option{Value: family.Language, Label: t.LanguageName(family.Language)})
	}
	p := view.FamilyFormPage{
		Form: s.formState(r, href.FamilyEdit.To(id), f), Title: t.Text("families.change"), Back: view.Link{Label: family.Name, Href: href.Family.To(id)},
		Button: t.Text("form.save"), Languages: languages,
	}
	return s.page(w, r, f.status(), page{Title: p.Title, Section: "families"}, view.FamilyForm(p))
}

func (s *Server) postEditFamily(r *http.Request, id newel.FamilyID, f sent) (string, error) {
	return s.app.ChangeFamily(r.Context(), mustActor(r), f.token, id, familyInput(f.Values))
}

func (s *Server) lookAfter(r *http.Request, family newel.FamilyID, f sent) (string, error) {
	who, err := newel.ParseID[newel.AccountID](f.Get("account"))
	if err != nil {
		return "", err
	}
	return s.app.LookAfter(r.Context(), mustActor(r), f.token, family, who)
}

func (s *Server) stopLookingAfter(r *http.Request, family newel.FamilyID, f sent) (string, error) {
	who, err := newel.ParseID[newel.AccountID](f.Get("account"))
	if err != nil {
		return "", err
	}
	return s.app.StopLookingAfter(r.Context(), mustActor(r), f.token, family, who)
}
