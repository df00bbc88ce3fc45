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
		{Method: http.MethodGet, Pattern: href.HelpScales, Needs: newel.SeeLibrary, Handle: form(s.showHelpScales)},
		{Method: http.MethodPost, Pattern: href.HelpScales, Needs: newel.PublishProgram, Handle: s.post(s.addHelpScale, s.showHelpScales)},
		{Method: http.MethodGet, Pattern: string(href.HelpScale), Needs: newel.SeeLibrary, Handle: formAt("scale", s.showHelpScale)},
		{Method: http.MethodPost, Pattern: string(href.HelpScale), Needs: newel.PublishProgram, Handle: postAt(s, "scale", s.changeHelpScale, s.showHelpScale)},
		{Method: http.MethodPost, Pattern: string(href.HelpScaleArchive), Needs: newel.PublishProgram, Handle: postAt(s, "scale", s.archiveHelpScale, nil)},
	}
}

func (s *Server) showHelpScales(w http.ResponseWriter, r *http.Request, f sent) error {
	actor, t := mustActor(r), s.printer(r)
	list, err := s.app.HelpScales(r.Context(), actor)
	if err != nil {
		return err
	}
	m := say.HelpScalesPage(t, list)
	if actor.Can(newel.PublishProgram) {
		add := s.formState(r, href.HelpScales, f)
		m.Add = &add
	}
	return s.page(w, r, f.status(), page{Title: t.Text("helpscale.title"), Section: "library", Notice: f.problems["form"]}, view.HelpScales(m))
}

func helpScaleInput(values url.Values) app.HelpScaleInput {
	return app.HelpScaleInput{Name: values.Get("name"), Levels: values.Get("levels")}
}

func (s *Server) addHelpScale(r *http.Request, f sent) (string, error) {
	return s.app.AddHelpScale(r.Context(), mustActor(r), f.token, helpScaleInput(f.Values))
}

func (s *Server) showHelpScale(w http.ResponseWriter, r *http.Request, id newel.HelpScaleID, f sent) error {
	actor := mustActor(r)
	x, err := s.app.HelpScale(r.Context(), actor, id)
	if err != nil {
		return err
	}
	m := view.HelpScalePage{T: s.printer(r), Scale: say.HelpScaleLine(x), Archived: x.ArchivedAt != nil, Archive: say.NewToken()}
	if actor.Can(newel.PublishProgram) {
		if f.Values == nil {
			f.Values = url.Values{"name": {x.Name}, "levels": {x.Text()}}
		}
		change := s.formState(r, m.Scale.Href, f)
		m.Change = &change
	}
	return s.page(w, r, f.status(), page{Title: x.Name, Section: "library", Notice: f.problems["form"]}, view.HelpScaleOf(m))
}

func (s *Server) changeHelpScale(r *http.Request, id newel.HelpScaleID, f sent) (string, error) {
	return s.app.ChangeHelpScale(r.Context(), mustActor(r), f.token, id, helpScaleInput(f.Values))
}

func (s *Server) archiveHelpScale(r *http.Request, id newel.HelpScaleID, f sent) (string, error) {
	return s.app.ArchiveHelpScale(r.Context(), mustActor(r), f.token, id, f.Get("do") != "back")
}

// helpPick returns the prompt hierarchies that the editor offers for a
// program's help levels.
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

// takeScale copies the levels of the selected hierarchy into a draft.
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
