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

// familyRoutes are the pages about families and who looks after them.
func (s *Server) familyRoutes() []Route {
	manage, invite := newel.ManageFamilies, newel.InviteCaregiver
	return []Route{
		{Method: http.MethodGet, Pattern: href.Families, Needs: newel.SeeFamilies, Handle: s.familiesPage},
		{Method: http.MethodGet, Pattern: href.NewFamily, Needs: manage, Handle: s.newFamilyPage},
		{Method: http.MethodPost, Pattern: href.NewFamily, Needs: manage, Handle: s.postNewFamily},
		{Method: http.MethodGet, Pattern: string(href.Family), Needs: newel.SeeFamilies, Handle: s.familyPage},
		{Method: http.MethodGet, Pattern: string(href.FamilyEdit), Needs: manage, Handle: s.editFamilyPage},
		{Method: http.MethodPost, Pattern: string(href.FamilyEdit), Needs: manage, Handle: s.postEditFamily},
		{Method: http.MethodPost, Pattern: string(href.FamilyPeople), Needs: manage, Handle: s.postNewPerson},
		{Method: http.MethodPost, Pattern: string(href.FamilyCaseload), Needs: manage, Handle: s.deed(s.lookAfter)},
		{Method: http.MethodPost, Pattern: string(href.FamilyCaseloadLeave), Needs: manage, Handle: s.deed(s.letGo)},
		{Method: http.MethodGet, Pattern: string(href.FamilyTraining), Needs: newel.SeeLearner, Handle: s.trainingPage},
		{Method: http.MethodPost, Pattern: string(href.FamilyTraining), Needs: newel.TrainCaregiver, Handle: s.postTraining},
		{Method: http.MethodGet, Pattern: string(href.Person), Needs: manage, Handle: s.personPage},
		{Method: http.MethodPost, Pattern: string(href.Person), Needs: manage, Handle: s.postPerson},
		{Method: http.MethodPost, Pattern: string(href.PersonInvite), Needs: invite, Handle: s.postInvite},
		{Method: http.MethodPost, Pattern: string(href.InvitationRevoke), Needs: invite, Handle: s.deed(s.revokeInvitation)},
		{Method: http.MethodPost, Pattern: string(href.DeviceCut), Needs: invite, Handle: s.deed(s.cutDevice)},
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
	return s.showNewFamily(w, r, http.StatusOK, url.Values{"time_zone": {zone}, "language": {"en"}}, nil)
}

func (s *Server) showNewFamily(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	t := s.printer(r)
	p := view.FamilyFormPage{
		Form: s.formState(r, href.NewFamily, values, problems), Title: t.Text("families.add"), Lead: t.Text("families.add_lead"),
		Back: view.Link{Label: t.Text("families.title"), Href: href.Families}, Button: t.Text("families.add_button"), Languages: s.languages(t),
	}
	return s.page(w, r, status, page{Title: p.Title, Section: "families"}, view.FamilyForm(p))
}

// languages are those in which a family's pages can be read.
func (s *Server) languages(t *message.Printer) []view.Option {
	var options []view.Option
	for _, tag := range s.messages.Languages() {
		options = append(options, view.Option{Value: tag, Label: t.LanguageName(tag)})
	}
	return options
}

func (s *Server) postNewFamily(w http.ResponseWriter, r *http.Request) error {
	values, form, err := readForm(r)
	var to string
	if err == nil {
		to, err = s.app.AddFamily(r.Context(), mustActor(r), form, familyInput(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showNewFamily(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) familyPage(w http.ResponseWriter, r *http.Request) error {
	return s.showFamily(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showFamily(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return err
	}
	actor := mustActor(r)
	f, err := s.app.Family(r.Context(), actor, id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	p := say.FamilyPage(t, actor, f, s.formState(r, href.Family.To(id), values, problems))
	return s.page(w, r, status, page{Title: f.Name, Section: "families"}, view.Family(p))
}

func (s *Server) editFamilyPage(w http.ResponseWriter, r *http.Request) error {
	return s.showEditFamily(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showEditFamily(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return err
	}
	f, err := s.app.Family(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if values == nil {
		values = url.Values{"name": {f.Name}, "time_zone": {f.TimeZone}, "language": {f.Language}}
	}
	t := s.printer(r)
	languages := s.languages(t)
	if !slices.ContainsFunc(languages, func(o view.Option) bool { return o.Value == f.Language }) {
		languages = append(languages, view.Option{Value: f.Language, Label: t.LanguageName(f.Language)})
	}
	p := view.FamilyFormPage{
		Form: s.formState(r, href.FamilyEdit.To(id), values, problems), Title: t.Text("families.change"), Back: view.Link{Label: f.Name, Href: href.Family.To(id)},
		Button: t.Text("form.save"), Languages: languages,
	}
	return s.page(w, r, status, page{Title: p.Title, Section: "families"}, view.FamilyForm(p))
}

func (s *Server) postEditFamily(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	var to string
	if err == nil {
		to, err = s.app.ChangeFamily(r.Context(), mustActor(r), form, id, familyInput(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showEditFamily(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) lookAfter(r *http.Request, values url.Values, form app.Form) (string, error) {
	family, who, err := carer(r, values)
	if err != nil {
		return "", err
	}
	return s.app.LookAfter(r.Context(), mustActor(r), form, family, who)
}

func (s *Server) letGo(r *http.Request, values url.Values, form app.Form) (string, error) {
	family, who, err := carer(r, values)
	if err != nil {
		return "", err
	}
	return s.app.LetGo(r.Context(), mustActor(r), form, family, who)
}

func carer(r *http.Request, values url.Values) (newel.FamilyID, newel.AccountID, error) {
	family, err := pathID[newel.FamilyID](r, "family")
	if err != nil {
		return family, newel.AccountID{}, err
	}
	who, err := newel.ParseID[newel.AccountID](values.Get("account"))
	return family, who, err
}
