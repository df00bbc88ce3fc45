package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) helpScaleRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: href.HelpScales, Needs: newel.SeeLibrary, Handle: s.helpScales},
		{Method: http.MethodPost, Pattern: href.HelpScales, Needs: newel.PublishProgram, Handle: s.addHelpScale},
		{Method: http.MethodGet, Pattern: string(href.HelpScale), Needs: newel.SeeLibrary, Handle: s.helpScale},
		{Method: http.MethodPost, Pattern: string(href.HelpScale), Needs: newel.PublishProgram, Handle: s.changeHelpScale},
		{Method: http.MethodPost, Pattern: string(href.HelpScaleArchive), Needs: newel.PublishProgram, Handle: s.deed(s.archiveHelpScale)},
	}
}

func (s *Server) helpScales(w http.ResponseWriter, r *http.Request) error {
	return s.showHelpScales(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showHelpScales(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	actor, t := mustActor(r), s.printer(r)
	list, err := s.app.HelpScales(r.Context(), actor)
	if err != nil {
		return err
	}
	m := say.HelpScalesPage(t, list)
	if actor.Can(newel.PublishProgram) {
		add := s.formState(r, href.HelpScales, values, problems)
		m.Add = &add
	}
	return s.page(w, r, status, page{Title: t.Text("helpscale.title"), Section: "library", Notice: problems["form"]}, view.HelpScales(m))
}

func helpScaleInput(values url.Values) app.HelpScaleInput {
	return app.HelpScaleInput{Name: values.Get("name"), Levels: values.Get("levels")}
}

func (s *Server) addHelpScale(w http.ResponseWriter, r *http.Request) error {
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.AddHelpScale(r.Context(), mustActor(r), form, helpScaleInput(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showHelpScales(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) helpScale(w http.ResponseWriter, r *http.Request) error {
	return s.showHelpScale(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showHelpScale(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.HelpScaleID](r, "scale")
	if err != nil {
		return err
	}
	actor := mustActor(r)
	x, err := s.app.HelpScale(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := view.HelpScalePage{T: s.printer(r), Scale: say.HelpScaleLine(x), Archived: x.ArchivedAt != nil, Archive: say.NewToken()}
	if actor.Can(newel.PublishProgram) {
		if values == nil {
			values = url.Values{"name": {x.Name}, "levels": {x.Text()}}
		}
		change := s.formState(r, m.Scale.Href, values, problems)
		m.Change = &change
	}
	return s.page(w, r, status, page{Title: x.Name, Section: "library", Notice: problems["form"]}, view.HelpScaleOf(m))
}

func (s *Server) changeHelpScale(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.HelpScaleID](r, "scale")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.ChangeHelpScale(r.Context(), mustActor(r), form, id, helpScaleInput(values))
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showHelpScale(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) archiveHelpScale(r *http.Request, values url.Values, form app.Form) (string, error) {
	id, err := pathID[newel.HelpScaleID](r, "scale")
	if err != nil {
		return "", err
	}
	return s.app.ArchiveHelpScale(r.Context(), mustActor(r), form, id, values.Get("do") != "back")
}

// helpPick are the scales that the editor offers for a program's help levels.
func (s *Server) helpPick(r *http.Request) ([]view.Option, error) {
	list, err := s.app.HelpScales(r.Context(), mustActor(r))
	if err != nil {
		return nil, err
	}
	var out []view.Option
	for _, x := range list {
		if x.ArchivedAt == nil {
			out = append(out, view.Option{Value: x.ID.String(), Label: say.HelpScaleLine(x).Said()})
		}
	}
	return out, nil
}

// takeScale puts the levels of the scale that was picked into a draft.
func (s *Server) takeScale(r *http.Request, values url.Values) (*app.DraftEdit, error) {
	id, err := newel.ParseID[newel.HelpScaleID](values.Get("scale_pick"))
	if err != nil {
		return nil, err
	}
	x, err := s.app.HelpScale(r.Context(), mustActor(r), id)
	return &app.DraftEdit{Do: func(d *program.Document) (string, string) {
		d.HelpLevels = x.Levels
		return fieldQuery("help_levels"), "take-scale:" + x.Name
	}}, err
}
