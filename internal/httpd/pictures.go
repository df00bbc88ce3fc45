package httpd

import (
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/picture"
	"newel/internal/program"
	"newel/internal/view"
)

func (s *Server) pictureRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: string(href.DraftPictures), Needs: newel.DraftProgram, Handle: at("program", s.pictures)},
		{Method: http.MethodPost, Pattern: string(href.DraftPictures), Needs: newel.DraftProgram, MaxBody: maxPictureForm, Handle: at("program", s.putPicture)},
	}
}

// maxPictureForm limits a picture upload, in bytes. It leaves room for a
// picture that is too large, so that the form can come back and say so.
const maxPictureForm = picture.MaxUpload + 16<<20

func (s *Server) pictures(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	return s.showPictures(w, r, id, sent{Values: r.URL.Query()})
}

func (s *Server) putPicture(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	f, file, err := readUpload(r, "picture", maxPictureForm, picture.MaxUpload)
	if f.Values == nil {
		return err
	}
	in := app.PictureInput{Step: f.Get("step"), Target: f.Get("target"), Alt: f.Get("alt"), Body: file, Everywhere: f.Get("everywhere") != ""}
	to := ""
	switch {
	case err != nil:
	case f.Get("do") == "drop":
		to, err = s.app.DropPicture(r.Context(), mustActor(r), f.token, id, in)
	default:
		to, err = s.app.AddPicture(r.Context(), mustActor(r), f.token, id, in)
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		f.problems = problems
		return s.showPictures(w, r, id, f)
	})
}

// showPictures shows the pictures of a step, or of the first one if none is
// named.
func (s *Server) showPictures(w http.ResponseWriter, r *http.Request, id newel.ProgramID, f sent) error {
	v, err := s.app.Draft(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	d := &v.Draft.Document
	step := pictureStep(d, f.Get("step"))
	if step == nil {
		return newel.ErrNotFound
	}
	t, path := s.printer(r), href.Draft.To(id)
	m := view.PicturesPage{
		T: t, Title: v.Program.Title, Draft: path, Back: path + view.PaneQuery(view.StepPane, step.Key) + "#pane",
		Step: step.Key, Name: labelOf(d, step.Key),
	}
	if step.Label != "" && step.Name != "" {
		m.Name = step.Label + ", " + step.Name
	}
	row := func(target, name string, p *newel.PictureRef) view.PictureRow {
		typed := sent{Values: url.Values{}}
		if p != nil {
			typed.Set("alt", p.Alt)
		}
		if f.problems != nil && f.Get("target") == target {
			typed = f
		}
		return view.PictureRow{Form: s.formState(r, href.DraftPictures.To(id), typed), Target: target, Name: name, Picture: p}
	}
	for _, target := range step.Targets {
		one := row(target.Key, target.Name, target.Picture)
		one.Others = len(d.TargetsNamed(target.Name)) - 1
		m.Rows = append(m.Rows, one)
	}
	m.Rows = append(m.Rows, row("", m.Name, step.Picture))
	return s.page(w, r, f.status(), page{Title: t.Text("pictures.title", "step", m.Name), Section: "library", Notice: f.problems["form"]}, view.Pictures(m))
}

func pictureStep(d *program.Document, key string) *program.Step {
	if key != "" {
		_, step := d.Step(key)
		return step
	}
	for i := range d.Strands {
		for j := range d.Strands[i].Steps {
			return &d.Strands[i].Steps[j]
		}
	}
	return nil
}
